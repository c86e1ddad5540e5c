/** One hand: any key or pedal opens the input; R does the last turn again, E ends. Plucks need no key. */
import { useEffect } from 'react'

export interface HandKeys {
  /** null: nothing waits for a key. */
  readonly advance: (() => void) | null
  redo(): void
  end(): void
}

/** Moves about the page, or belongs to the browser or the shell. */
const otherKeys = new Set([
  'Tab',
  'Escape',
  'Shift',
  'Control',
  'Alt',
  'Meta',
  'CapsLock',
  'ContextMenu',
  '?',
  'c',
  't',
])
const pressKeys = new Set(['Enter', ' '])

export function useHandKeys(keys: HandKeys): void {
  useEffect(() => {
    const hear = (event: globalThis.KeyboardEvent): void => {
      const { target, key } = event
      if (event.ctrlKey || event.metaKey || event.altKey || event.repeat || otherKeys.has(key)) return
      if (/^F\d+$/.test(key)) return
      const element = target instanceof HTMLElement ? target : null
      if (element?.closest('input, textarea, select, [role="dialog"]') != null) return
      if (pressKeys.has(key) && element?.closest('button, a, summary') != null) return
      if (key === 'r' || key === 'R') keys.redo()
      else if (key === 'e' || key === 'E') keys.end()
      else if (keys.advance !== null) keys.advance()
      else return
      event.preventDefault()
    }
    window.addEventListener('keydown', hear)
    return () => window.removeEventListener('keydown', hear)
  })
}
