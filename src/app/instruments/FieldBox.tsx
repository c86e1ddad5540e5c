/**
 * A field of text whose words are taken letter by letter as long as they make sense. What does not is never dropped quietly:
 * it stays in the box with a sentence, and when the box goes away with it, the sentence goes to the top of the page.
 */
import { type ReactNode, useEffect, useId, useRef, useState } from 'react'
import { Problem } from '../../core/problem.ts'
import { refusal } from './reading.ts'
import { settle, useInstruments } from './store.ts'

export interface Typed {
  readonly title: string
  /** As it stands. */
  readonly value: string
  /** What stays when the text is refused, with its unit; the value when left out. */
  readonly stays?: string
  /** @throws Problem when the text makes no sense. */
  take(text: string): void
}

export interface TypedBox {
  readonly text: string
  readonly sentence: string | null
  change(text: string): void
  leave(): void
}

export function useTyped({ title, value, stays, take }: Typed): TypedBox {
  const [draft, setDraft] = useState<string | null>(null)
  const [problem, setProblem] = useState<string | null>(null)
  const [told, setTold] = useState(false)
  const pending = useRef<string | null>(null)
  pending.current = problem
  useEffect(
    () => () => {
      if (pending.current !== null) useInstruments.setState({ notice: { text: pending.current } })
    },
    [],
  )
  return {
    text: draft ?? value,
    sentence: told ? problem : null,
    change: (text) => {
      setDraft(text)
      try {
        take(text)
        setProblem(null)
      } catch (cause) {
        if (!(cause instanceof Problem)) throw cause
        setProblem(refusal(title, cause, stays ?? value))
      }
    },
    leave: () => {
      settle()
      setTold(problem !== null)
      if (problem === null) setDraft(null)
    },
  }
}

export function FieldBox(
  props: Typed & {
    unit?: string
    help?: ReactNode
    placeholder?: string
    lines?: number
    numeric?: boolean
  },
) {
  const { title, unit = '', help, placeholder, lines, numeric } = props
  const box = useTyped(props)
  const id = useId()
  const shared = {
    id,
    value: box.text,
    placeholder,
    'aria-invalid': box.sentence !== null,
    'aria-describedby': `${id}-help`,
    onBlur: box.leave,
  }
  return (
    <div className="typed">
      <label htmlFor={id}>
        {title}
        {unit === '' ? '' : `, ${unit.trim()}`}
      </label>
      {lines === undefined ? (
        <input
          {...shared}
          type="text"
          inputMode={numeric ? 'decimal' : 'text'}
          autoComplete="off"
          onChange={(event) => box.change(event.target.value)}
          onKeyDown={(event) => {
            if (event.key === 'Enter') box.leave()
          }}
        />
      ) : (
        <textarea {...shared} rows={lines} onChange={(event) => box.change(event.target.value)} />
      )}
      <div id={`${id}-help`}>
        {box.sentence !== null && (
          <p className="problem" role="alert">
            {box.sentence}
          </p>
        )}
        {help !== undefined && <p className="notes">{help}</p>}
      </div>
    </div>
  )
}
