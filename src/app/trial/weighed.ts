/** Which reading is looked into first, and what a candidate is of the string. */
import { centsBetween } from '../../core/maths/units.ts'
import type { Reading } from '../../core/methods/method.ts'
import type { Score } from '../../core/score/score.ts'
import { signedCents } from '../bench/figures.ts'

/**
 * The last reading of the hold that claimed; without a claim the one furthest from the truth in the first second; without an
 * answer the first that was heard wholly after the pluck.
 */
export function shownFirst(
  readings: readonly Reading[],
  { claim, lockS }: Pick<Score, 'claim' | 'lockS'>,
  sampleRateHz: number,
  onsetS: number,
  settledHz: number,
): number {
  const heardS = ({ toSample }: Reading): number => toSample / sampleRateHz - onsetS
  const nearest = (wanted: (reading: Reading) => number): number =>
    readings.reduce((best, reading, at) => (wanted(reading) < wanted(readings[best] as Reading) ? at : best), 0)
  if (claim !== 'none') return nearest((reading) => Math.abs(heardS(reading) - lockS))
  const after = ({ fromSample }: Reading): boolean => fromSample / sampleRateHz >= onsetS
  const scored = (reading: Reading): boolean => after(reading) && heardS(reading) <= 1
  if (readings.some((reading) => scored(reading) && reading.f0Hz > 0)) {
    return nearest((reading) =>
      scored(reading) && reading.f0Hz > 0 ? -Math.abs(centsBetween(reading.f0Hz, settledHz)) : Number.MAX_VALUE,
    )
  }
  return Math.max(0, readings.findIndex(after))
}

/** Up to here a candidate is called a partial or part of the string; beyond, its distance is all there is to say. */
const most = 12
const nearCents = 50

/** "the string, +1.2 c", "partial 2, −7.0 c", "1/2 of it, 0.40 c", "+420 c from it". */
export function partWords(hz: number, f1Hz: number): string {
  const whole = hz >= f1Hz ? Math.round(hz / f1Hz) : Math.round(f1Hz / hz)
  const placeHz = hz >= f1Hz ? whole * f1Hz : f1Hz / whole
  const cents = centsBetween(hz, placeHz)
  if (whole > most || Math.abs(cents) >= nearCents) return `${signedCents(centsBetween(hz, f1Hz))} c from it`
  const name = whole === 1 ? 'the string' : hz > f1Hz ? `partial ${whole}` : `1/${whole} of it`
  return `${name}, ${signedCents(cents)} c`
}
