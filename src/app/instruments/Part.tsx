/** A group of fields under its own title. */
import type { ReactNode } from 'react'

export function Part(props: { title: string; note?: string; children: ReactNode }) {
  return (
    <fieldset className="part">
      <legend>{props.title}</legend>
      {props.note !== undefined && <p className="notes">{props.note}</p>}
      <div className="part-fields">{props.children}</div>
    </fieldset>
  )
}
