/** A choice among few, with its name above and its help below. */
import { useId } from 'react'

export function SelectBox(props: {
  title: string
  chosen: string
  options: readonly { readonly id: string; readonly title: string }[]
  help?: string
  onChoose(id: string): void
}) {
  const { title, chosen, options, help, onChoose } = props
  const id = useId()
  return (
    <div className="typed">
      <label htmlFor={id}>{title}</label>
      <select
        id={id}
        className="select"
        value={chosen}
        aria-describedby={`${id}-help`}
        onChange={(event) => onChoose(event.target.value)}
      >
        {options.map((option) => (
          <option key={option.id} value={option.id}>
            {option.title}
          </option>
        ))}
      </select>
      <p id={`${id}-help`} className="notes">
        {help}
      </p>
    </div>
  )
}
