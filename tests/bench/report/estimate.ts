/** How long a part will take, from what a frame of each method costs here. Only for what is said before and during a run. */
import { trialCount } from '../../../src/core/study/record.ts'
import type { Part } from './plan.ts'
import type { Timing } from './timing.ts'

/** Measured on the machine of the first report: a plain take of 1.5 s, one with driven strings, body and sensor. */
const plainRenderS = 0.012
const fullRenderS = 0.09

/** One trial on one core, s. */
export function trialSeconds({ study }: Part, timings: readonly Timing[]): number {
  const { takeS, sampleRateHz, rooms, strings, repeats } = study
  const listenS = study.methods.reduce((sum, { id, values }) => {
    const timing = timings.find(({ method }) => method === id)
    const hop = values.hop ?? timing?.hop ?? Number.NaN
    return sum + ((takeS * sampleRateHz) / hop) * (timing?.microsecondsAFrame ?? 0) * 1e-6
  }, 0)
  const renderS = rooms.reduce(
    (sum, { body, drivenDb }) => sum + (body === undefined && drivenDb === undefined ? plainRenderS : fullRenderS),
    0,
  )
  // Each kind of string side is heard once in quiet; rooms without body, sensor and neighbours share one.
  const sides = new Set(
    rooms
      .filter(({ variant }) => variant !== 'no-string')
      .map(({ body, sensor, sympatheticDb, drivenDb, variant }) =>
        JSON.stringify([body, sensor, sympatheticDb, drivenDb, variant]),
      ),
  )
  const twinsS = (listenS * sides.size * strings.length * repeats) / trialCount(study)
  return listenS + twinsS + renderS / rooms.length
}
