/**
 * Who may be compared with whom. Aimed methods know the note in hand, blind ones a range: never one list without saying so.
 * Among the blind, programs that others wrote stand apart from what is written here after the papers.
 */
import { methods as known } from '../../core/methods/index.ts'
import { methodIdOf } from '../run/names.ts'
import type { Family } from '../run/tally.ts'

export type Group = 'aimed' | 'blind' | 'outside'

/** Of a method's id or its name in a study. Unknown ones count as blind. */
export const familyOf = (name: string): Family =>
  known.find((method) => method.id === methodIdOf(name))?.family ?? 'blind'

/** Whether both families stand side by side, so that it must be said which is which. */
export const isMixed = (ids: readonly string[]): boolean => new Set(ids.map(familyOf)).size > 1

/** A package brings code that others wrote. */
export function groupOf(id: string): Group {
  const found = known.find((method) => method.id === methodIdOf(id))
  return found?.source.startsWith('npm package') ? 'outside' : familyOf(id)
}

export const familyWords: Readonly<Record<Family, string>> = {
  aimed: 'aimed: told the note',
  blind: 'blind: told a range only',
}

export const groupWords: Readonly<Record<Group, string>> = {
  aimed: 'aimed: told the note',
  blind: 'blind: told a range only',
  outside: 'blind, written by others',
}
