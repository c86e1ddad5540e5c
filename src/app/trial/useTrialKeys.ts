/** Keys of the trial's view. A control in focus keeps its own keys; an open dialog keeps them all. */
import { useEffect, useRef } from 'react'

export interface TrialKeys {
  /** Null: there is none. */
  readonly before: number | null
  readonly after: number | null
  onStep(index: number): void
  onBack(): void
  onSpace(): void
}

export function useTrialKeys(keys: TrialKeys): void {
  const latest = useRef(keys)
  useEffect(() => {
    latest.current = keys
  })
  useEffect(() => {
    const hear = (event: KeyboardEvent): void => {
      if (event.ctrlKey || event.metaKey || event.altKey || event.shiftKey || event.defaultPrevented) return
      if (document.querySelector('[role="dialog"]') !== null) return
      const { before, after, onStep, onBack, onSpace } = latest.current
      const focused = event.target instanceof HTMLElement ? event.target : document.body
      const inField = focused.closest('input, textarea, select, .readings-table') !== null
      const step = event.key === 'ArrowLeft' ? before : event.key === 'ArrowRight' ? after : null
      if (step !== null && !inField) onStep(step)
      else if (event.key === 'Escape') onBack()
      else if (event.key === ' ' && focused.closest('button, a, summary') === null) onSpace()
      else return
      event.preventDefault()
    }
    window.addEventListener('keydown', hear)
    return () => window.removeEventListener('keydown', hear)
  }, [])
}
