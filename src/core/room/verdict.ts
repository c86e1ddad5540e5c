/**
 * What the figures of a string in a room come to, in words: the verdict first, then its numbers, then what else is to be known.
 *
 * The worst that holds names the verdict. A line counts when it lies within 50 c of a partial (what a method that follows the
 * partial takes in) and is no weaker than a tenth of it; a ringing string when it is within 20 dB of the plucked one; a
 * string fades into the room when it is not told from it a second after the pluck. All three limits: own choice, no source.
 */
import { levelMomentsS } from '../study/levels.ts'
import { type LineNear, linesNear } from './linesnear.ts'
import type { NoiseFigures } from './noisetake.ts'
import type { RoomString } from './roomstring.ts'
import type { SteadyLine } from './steadylines.ts'
import type { StringFigures } from './stringfigures.ts'

/** Worst first. */
export type VerdictKind =
  | 'other-string'
  | 'not-heard'
  | 'octave'
  | 'under-room'
  | 'line-near'
  | 'ringing'
  | 'fades'
  | 'clear'

export interface Verdict {
  /** Id of the string. */
  readonly string: string
  readonly kind: VerdictKind
  /** "E2: 14 dB over this room; a 100 Hz hum line lies 35 c above partial 1." */
  readonly sentence: string
  /** Further sentences, most important first. */
  readonly reasons: readonly string[]
}

const leastLineDb = -10
const leastRingingDb = -20
/** More make nobody wiser. */
const mostLines = 3
/** Ratios at a moment are over 100 ms about it. */
const momentS = 0.1

/** Whether another note than the string's own sounded: its figures are then of no string that was asked for. */
export const isAnother = ({ kind }: Verdict): boolean => kind === 'other-string' || kind === 'octave'

/** `found`: id of the one string that the finder called in this take (stringfinder.ts); null: none. */
export function stringVerdict(
  string: RoomString,
  figures: StringFigures,
  noise: NoiseFigures,
  found: string | null = null,
): Verdict {
  const { title } = string
  const lines = linesNear(string, figures, noise).filter(({ overPartialDb }) => (overPartialDb ?? 0) >= leastLineDb)
  const ringing = figures.ringing.filter(({ overStringDb }) => overStringDb >= leastRingingDb)
  const titleOf = (id: string): string => noise.strings.find((other) => other.id === id)?.title ?? id
  if (found !== null && found !== string.id) {
    const sentence = `${title}: ${titleOf(found)} sounded in its place.`
    return { string: string.id, kind: 'other-string', sentence, reasons: [] }
  }
  const facts = [
    ...lines.slice(0, mostLines).map((near) => ({ kind: 'line-near' as const, words: lineWords(near) })),
    ...ringing.map((one) => ({
      kind: 'ringing' as const,
      words: `${titleOf(one.string)} sounds ${one.when === 'before' ? 'already before the pluck' : 'along with it'}, ${dbWords(one.overStringDb)} this string`,
    })),
    ...fading(figures),
  ]
  const kind = kindOf(figures, facts[0]?.kind)
  const first = kind === 'not-heard' || kind === 'octave' || kind === 'under-room' ? undefined : facts[0]?.words
  const rest = first === undefined ? facts : facts.slice(1)
  return {
    string: string.id,
    kind,
    sentence: `${title}: ${kind === 'octave' ? octaveWords : ratioWords(figures)}${first === undefined ? '' : `; ${first}`}.`,
    reasons: [...rest.map(({ words }) => `${capital(words)}.`), ...partialWords(figures), ...missingWords(figures)],
  }
}

function kindOf(figures: StringFigures, found: VerdictKind | undefined): VerdictKind {
  if (figures.partials.length === 0) return 'not-heard'
  if (isOctave(figures)) return 'octave'
  if (figures.ratioDb === null ? figures.onsetS !== null : figures.ratioDb < 0) return 'under-room'
  return found ?? 'clear'
}

const octaveWords = 'an octave above it sounded: only every other partial is there'
/** The first four of the string's own that its octave lacks; higher ones fade within the first second. */
const lastOdd = 7
/** A body or a pick takes one partial away, not two in a row of its kind. */
const fewestSaying = 2

/** A string at its twelfth fret, or another an octave up, fills every second partial and nothing else. */
function isOctave({ partials }: StringFigures): boolean {
  const odd = partials.filter(({ k }) => k % 2 === 1 && k <= lastOdd)
  const even = partials.filter(({ k }) => k % 2 === 0 && k <= lastOdd + 1)
  const missing = odd.filter(({ standing }) => standing === 'missing')
  const heard = even.filter(({ standing }) => standing === 'as-expected' || standing === 'weak')
  return (
    missing.length >= fewestSaying &&
    heard.length >= fewestSaying &&
    odd.every(({ standing }) => standing === 'missing' || standing === 'unheard')
  )
}

function ratioWords({ ratioDb, partials, onsetS }: StringFigures): string {
  if (partials.length === 0) return 'not heard in this take'
  if (ratioDb !== null) return `${dbWords(ratioDb)} this room`
  return onsetS === null ? 'it sounds, but no pluck was heard to begin' : 'no louder than this room gets at times'
}

/** "14 dB over", "3 dB under", "level with". */
function dbWords(db: number): string {
  const whole = Math.round(Math.abs(db))
  if (whole === 0) return 'level with'
  return `${whole} dB ${db > 0 ? 'over' : 'under'}`
}

function lineWords({ line, k, cents, overPartialDb }: LineNear): string {
  const whole = Math.round(Math.abs(cents))
  const place = whole === 0 ? `on partial ${k}` : `${whole} c ${cents > 0 ? 'above' : 'below'} partial ${k}`
  const strength = overPartialDb === null ? 'which is under the room' : `${dbWords(overPartialDb)} it`
  return `${lineName(line)} lies ${place}, ${strength}`
}

function lineName({ hz, family }: SteadyLine): string {
  const name = `${hz < 1000 ? hz.toFixed(1).replace(/\.0$/, '') : hz.toFixed(0)} Hz`
  return family.kind === 'mains' ? `a ${name} hum line` : `a steady tone of ${name}`
}

function fading({ ratioDb, ratioAtDb, heardS }: StringFigures): { kind: 'fades'; words: string }[] {
  // A second is a turn of the peg.
  const gone = levelMomentsS.findIndex(
    (atS, i) => atS <= 1 && atS + momentS / 2 <= heardS && !((ratioAtDb[i] ?? -1) >= 0),
  )
  if (ratioDb === null || gone < 0) return []
  return [{ kind: 'fades', words: `it is in the room again ${levelMomentsS[gone]} s after the pluck` }]
}

function partialWords({ partials }: StringFigures): string[] {
  const named = (standing: string): number[] => partials.filter((one) => one.standing === standing).map(({ k }) => k)
  const list = (ks: readonly number[]): string => `${ks.length === 1 ? 'Partial' : 'Partials'} ${ks.join(', ')}`
  const [weak, missing, unheard] = ['weak', 'missing', 'unheard'].map(named)
  const is = (ks: readonly number[]): string => (ks.length === 1 ? 'is' : 'are')
  return [
    ...(missing.length > 0 ? [`${list(missing)} ${is(missing)} missing.`] : []),
    ...(weak.length > 0 ? [`${list(weak)} ${is(weak)} weaker than the partials beside.`] : []),
    ...(unheard.length > 0 ? [`${list(unheard)} ${is(unheard)} under the room.`] : []),
  ]
}

/** Why a figure is missing, each reason once. */
const missingWords = ({ missing }: StringFigures): string[] => [...new Set(Object.values(missing))]

const capital = (words: string): string => words.charAt(0).toUpperCase() + words.slice(1)
