/** Figures of kept parts, asked for and put where the page sees them. What they mean for the guide is told to whoever asked. */
import type { GuideEvent } from '../../core/room/guide.ts'
import type { RoomString } from '../../core/room/roomstring.ts'
import { isAnother } from '../../core/room/verdict.ts'
import { figuresOf } from './figures.ts'
import { useRoom } from './roomstore.ts'

const { getState: get, setState: set } = useRoom

async function working<T>(figures: Promise<T>): Promise<T> {
  set(({ working: parts }) => ({ working: parts + 1 }))
  const answer = await figures
  set(({ working: parts }) => ({ working: parts - 1 }))
  return answer
}

/** True: the noise that the page shows is this one. */
export async function judgeNoise(take: string, samples: Float32Array, sampleRateHz: number): Promise<boolean> {
  const answer = await working(figuresOf({ kind: 'noise', take, samples, sampleRateHz, strings: get().strings }))
  if (get().takeId !== take) return false
  if (answer.kind !== 'noise') {
    if (answer.kind === 'problem') set({ problem: `The noise take has no figures: ${answer.what}` })
    return false
  }
  set({ noise: answer.noise })
  return true
}

/** What the guide is to be told: the pluck was of no use; null: nothing. */
export async function judgeString(
  take: string,
  string: RoomString,
  samples: Float32Array,
  sampleRateHz: number,
): Promise<GuideEvent | null> {
  const answer = await working(figuresOf({ kind: 'string', take, samples, sampleRateHz, string }))
  if (get().takeId !== take) return null
  if (answer.kind !== 'string') {
    if (answer.kind === 'problem') set({ problem: `${string.title} has no figures: ${answer.what}` })
    return null
  }
  const { figures, verdict, found } = answer
  set(({ judged }) => ({ judged: { ...judged, [string.id]: { figures, verdict } } }))
  // The finder calls no string for an octave of the asked one: it is none of the instrument's.
  const other = verdict.kind === 'octave' ? null : found.id
  if (isAnother(verdict)) return { kind: 'refused', string: string.id, why: 'other-string', other }
  if (verdict.kind === 'not-heard') return { kind: 'refused', string: string.id, why: 'not-heard', other: null }
  return null
}
