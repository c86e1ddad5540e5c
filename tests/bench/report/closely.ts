/**
 * A study opened so that a trial also tells what its scores do not hold: errors over the band-limited bound, the first
 * reading after the pluck, and the reading in force a third of a second later. The samples are those of the plain study.
 */
import { rms } from '../../../src/core/maths/statistics.ts'
import { centsBetween } from '../../../src/core/maths/units.ts'
import type { Reading } from '../../../src/core/methods/method.ts'
import type { Recordings } from '../../../src/core/scene/scene.ts'
import { openBound } from '../../../src/core/score/bound.ts'
import { boundSignalOf } from '../../../src/core/study/boundsignal.ts'
import type { Outcome, Study } from '../../../src/core/study/study.ts'
import { type OpenStudy, openStudy, type Replay, type Track } from '../../../src/core/study/trial.ts'
import { contestant } from './contestants.ts'

/** Cents; NaN where there is nothing to tell (null in JSON). */
export interface Close {
  /** Root mean square of reading minus truth, fine readings of the first second. */
  readonly rmsCents: number
  /** Root mean square of (reading minus truth minus offset) over the bound of the reading's own evidence: partials 1 to 10, stiffness known. */
  readonly overBand: number
  /** The same for the first reading whose evidence lies wholly after the pluck: signed, one reading. */
  readonly firstOverBand: number
  readonly firstCents: number
  /** The newest reading a window of 16384 samples and a hop after the pluck, minus truth; NaN: declined. */
  readonly thirdCents: number
}

/** 16384 samples at 48 kHz, and the hop of 512 that a window may miss the onset by. */
export const thirdS = (16384 + 512) / 48000

const grossCents = 50
const scoredS = 1

export function closeOf({ readings, score }: Track, replay: Replay): Close {
  const { scene, rendered, room } = replay
  const { truth, sampleRateHz } = rendered.take
  const pluck = scene.plucks[0]
  const none = Number.NaN
  const nothing = { rmsCents: none, overBand: none, firstOverBand: none, firstCents: none, thirdCents: none }
  if (truth === null || pluck === undefined || pluck.recording !== undefined || scene.noString === true) return nothing
  const bound = openBound(boundSignalOf(pluck, rendered.partials), room)
  const { onsetS, settledHz } = truth
  const errorOf = ({ f0Hz }: Reading): number => (f0Hz > 0 ? centsBetween(f0Hz, settledHz) : none)
  const overBandOf = (reading: Reading): number => {
    const fromS = reading.fromSample / sampleRateHz - onsetS
    const toS = reading.toSample / sampleRateHz - onsetS
    const error = errorOf(reading)
    if (!(Math.abs(error) < grossCents)) return none
    return (error - score.offsetCents) / bound.sdCents(fromS, toS, { band: true })
  }
  // Evidence that reaches a sample over the edge by rounding is inside.
  const inside = readings.filter(
    ({ fromSample, toSample }) =>
      fromSample >= onsetS * sampleRateHz - 0.5 && toSample <= (onsetS + scoredS) * sampleRateHz + 0.5,
  )
  const fine = inside.map(errorOf).filter((error) => Math.abs(error) < grossCents)
  const [first] = inside
  const third = readings.findLast(({ toSample }) => toSample <= (onsetS + thirdS) * sampleRateHz + 0.5)
  return {
    rmsCents: rms(fine),
    overBand: rms(inside.map(overBandOf)),
    firstOverBand: first === undefined ? none : overBandOf(first),
    firstCents: first === undefined ? none : errorOf(first),
    thirdCents: third === undefined ? none : errorOf(third),
  }
}

export type CloseOutcome = Outcome & { readonly close?: Close }

/** Studies whose id begins so are looked at closely: a study is all that a worker is told. */
export const closelyPrefix = 'closely-'

/** Outcomes of such a study carry a Close. */
export function openBench(study: Study, recordings: Recordings, nowMs: () => number): OpenStudy {
  const open = openStudy(study, recordings, nowMs, contestant)
  if (!study.id.startsWith(closelyPrefix)) return open
  return {
    ...open,
    run(index) {
      const timings = study.methods.map(({ id }) => ({ method: id, frames: 0, ms: 0 }))
      let replay: Replay
      try {
        replay = open.replay(index)
      } catch {
        // A plain run says for each method what went wrong.
        return open.run(index)
      }
      const { trial, levels } = replay
      const outcomes = study.methods.map((method): CloseOutcome => {
        const track = replay.tracks.find((each) => sameChoice(each.method, method))
        if (track === undefined) {
          return { state: 'failed', trial, method, problem: { what: 'the method threw', where: method.id } }
        }
        return { state: 'scored', trial, method, score: track.score, levels, close: closeOf(track, replay) }
      })
      return { outcomes, timings }
    },
  }
}

const sameChoice = (a: Study['methods'][number], b: Study['methods'][number]): boolean =>
  a.id === b.id && JSON.stringify(a.values) === JSON.stringify(b.values)
