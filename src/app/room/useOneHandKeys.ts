/** One hand: any key or pedal goes on; a few letters do what their buttons do. */
import { useEffect } from 'react'

export interface OneHandKeys {
  /** null: nothing waits for a key. */
  readonly advance: (() => void) | null
  /** By lower-case letter; a capital does the same. */
  readonly letters: Readonly<Record<string, () => void>>
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

export function useOneHandKeys({ advance, letters }: OneHandKeys): void {
  useEffect(() => {
    const hear = (event: globalThis.KeyboardEvent): void => {
      const { target, key } = event
      if (event.ctrlKey || event.metaKey || event.altKey || event.repeat || otherKeys.has(key)) return
      if (/^F\d+$/.test(key)) return
      const element = target instanceof HTMLElement ? target : null
      if (element?.closest('input, textarea, select, [role="dialog"]') != null) return
      // What has the focus is pressed by these two.
      if (pressKeys.has(key) && element?.closest('button, a, summary') != null) return
      // Tables scroll by their arrows.
      if (key.startsWith('Arrow') && element?.closest('.table-place') != null) return
      const act = letters[key.toLowerCase()] ?? advance
      if (act === null) return
      event.preventDefault()
      act()
    }
    window.addEventListener('keydown', hear)
    return () => window.removeEventListener('keydown', hear)
  })
}
