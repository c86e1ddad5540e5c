/**
 * What the figures of a string in a room come to, in words: the verdict first, then its numbers.
 */
import type { NoiseFigures } from './noisetake.ts'
import type { RoomString } from './roomstring.ts'
import type { StringFigures } from './stringtake.ts'

/** Worst first. */
export type VerdictKind = 'not-heard' | 'under-room' | 'line-near' | 'ringing' | 'fades' | 'clear'

export interface Verdict {
  readonly string: string
  readonly kind: VerdictKind
  /** "E2: 14 dB over this room; a 100 Hz hum line lies 35 c above partial 1." */
  readonly sentence: string
  /** Further sentences, most important first. */
  readonly reasons: readonly string[]
}

export function stringVerdict(string: RoomString, figures: StringFigures, noise: NoiseFigures): Verdict {
  const ratio =
    figures.ratioDb === null ? 'not heard over this room' : `${figures.ratioDb.toFixed(0)} dB over this room`
  return {
    string: string.id,
    kind: figures.ratioDb === null ? 'not-heard' : 'clear',
    sentence: `${string.title}: ${ratio}.`,
    reasons: noise.lines.length > 0 ? [] : [],
  }
}
