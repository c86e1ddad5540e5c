/** The plain fields of the teacher's form: a text, a number, one of a list, a yes or no. */
import { useState } from 'react'

export function Text(props: { label: string; value: string; onChange: (value: string) => void }) {
  return (
    <label className="text-field wide">
      {props.label}
      <input value={props.value} onChange={(event) => props.onChange(event.target.value)} />
    </label>
  )
}

/** What is being typed stays as it is; NaN stands for what is no number yet. */
export function NumberBox(props: { label: string; value: number; onChange: (value: number) => void }) {
  const [typed, setTyped] = useState<string | null>(null)
  return (
    <label className="text-field">
      {props.label}
      <input
        inputMode="decimal"
        value={typed ?? `${props.value}`}
        onChange={({ target: { value } }) => {
          setTyped(value)
          props.onChange(value.trim() === '' ? Number.NaN : Number(value.replace(',', '.').replace('−', '-')))
        }}
        onBlur={() => {
          if (!Number.isNaN(props.value)) setTyped(null)
        }}
      />
    </label>
  )
}

export function Select(props: {
  wide?: boolean
  label: string
  value: string
  options: readonly (readonly [string, string])[]
  onChange: (value: string) => void
}) {
  return (
    <label className={props.wide === true ? 'text-field wide' : 'text-field'}>
      {props.label}
      <select value={props.value} onChange={(event) => props.onChange(event.target.value)}>
        {props.options.map(([value, word]) => (
          <option key={value} value={value}>
            {word}
          </option>
        ))}
      </select>
    </label>
  )
}

export function Tick(props: { label: string; on: boolean; onChange: (on: boolean) => void }) {
  return (
    <label className="drill-tick">
      <input type="checkbox" checked={props.on} onChange={(event) => props.onChange(event.target.checked)} />
      {props.label}
    </label>
  )
}
