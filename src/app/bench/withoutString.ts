/**
 * What a study shows where nothing is plucked and the room itself sounds the note: a keyboard's chord with the note in it, a
 * neighbour on the same string. Who is told no note takes that for the string. Counted, never assumed.
 */
import { wilson } from '../../core/maths/statistics.ts'
import { methodById } from '../../core/methods/index.ts'
import type { Cell } from '../../core/score/summary.ts'
import type { Study, StudyRoom } from '../../core/study/study.ts'
import { methodIdOf, namesOf } from '../run/names.ts'

/** Noises that play the note in hand. */
const soundTheNote: readonly string[] = ['chord', 'unison']

/** A sentence a room, in the study's order; none while no such cell was computed. */
export function withoutStringWords(study: Study, cells: readonly Cell[]): readonly string[] {
  return study.rooms
    .filter(({ variant, parts }) => variant === 'no-string' && parts.some(({ id }) => soundTheNote.includes(id)))
    .flatMap((room) => wordsOf(room, study, cells) ?? [])
}

function wordsOf({ id }: StudyRoom, study: Study, cells: readonly Cell[]): string | null {
  const place = id.split('/')[0] ?? id
  const blind = namesOf(study).filter((method) => methodById(methodIdOf(method)).family === 'blind')
  const counts = blind
    .map((method): Counted => {
      const own = cells.filter((cell) => cell.room === id && cell.method === method && cell.n > 0)
      const trials = own.reduce((sum, cell) => sum + cell.n, 0)
      const claims = own.reduce((sum, cell) => sum + falseIn(cell), 0)
      return { method, trials, claims }
    })
    .filter(({ trials }) => trials > 0)
    .sort((a, b) => b.claims - a.claims)
  const claiming = counts.filter(({ claims }) => claims > 0)
  const [first] = counts
  if (first === undefined) return null
  const who =
    counts.length === 1
      ? 'the blind method'
      : counts.length === 2
        ? 'both blind methods'
        : `all ${counts.length} blind methods`
  if (claiming.length === 0)
    return `With no string in ${place}, ${who} claimed nothing in ${first.trials} trials${counts.length === 1 ? '' : ' each'}.`
  const words = ({ method, trials, claims }: Counted): string => {
    const { low, high } = wilson(claims, trials)
    return `${method} in ${claims} of ${trials} trials (${percent(low)} to ${percent(high)} %)`
  }
  const share = claiming.length === counts.length ? who : `${claiming.length} of ${counts.length} blind methods`
  const [most, ...rest] = claiming
  const least = rest.at(-1)
  const figures = most === undefined ? '' : least === undefined ? words(most) : `${words(most)} down to ${words(least)}`
  return `With no string in ${place}, ${share} claimed falsely: ${figures}.`
}

interface Counted {
  readonly method: string
  readonly trials: number
  readonly claims: number
}

const falseIn = ({ n, falseRoomRate, falseStructuralRate }: Cell): number =>
  Math.round(n * ((falseRoomRate?.value ?? 0) + (falseStructuralRate?.value ?? 0)))

const percent = (share: number): string => (100 * share).toFixed(0)
