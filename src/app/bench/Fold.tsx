/** A part of the page that opens on demand: what is in it costs nothing until somebody looks. */
import { type ReactNode, useState } from 'react'

export function Fold(props: { title: string; question: string; children: () => ReactNode }) {
  const [open, setOpen] = useState(false)
  return (
    <details className="fold" onToggle={(event) => setOpen(event.currentTarget.open)}>
      <summary>
        <h2>{props.title}</h2>
        <span className="quiet">{props.question}</span>
      </summary>
      {open && <div className="fold-body">{props.children()}</div>}
    </details>
  )
}
