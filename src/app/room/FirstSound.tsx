/** What is read before the first sound of a visit (caution.ts), with the button that then begins it. */
import type { ReactNode } from 'react'
import { readCaution } from '../caution.ts'

export function FirstSound(props: {
  /** What to mind with this sound. */
  children: ReactNode
  /** What the button does besides: "begin". */
  begins: string
  onRead(): void
}) {
  const { children, begins, onRead } = props
  return (
    <div className="caution asks">
      <p>
        <strong>Before the first sound: </strong>85 dBA for 8 hours is the usual daily limit; every 3 dB more halves the
        time. {children}
      </p>
      <button
        type="button"
        className="button"
        onClick={() => {
          readCaution()
          onRead()
        }}
      >
        Understood, {begins}
      </button>
    </div>
  )
}
