/**
 * String over room as the string fades, by mean squares: of the take less the noise take, over the noise take.
 *
 * Below 0.6 of the first partial nothing of a take is string and nothing is counted; the room is counted whole. A ratio is told
 * where the string is louder than the room was at any time of the noise take, over as long: what a drum stroke may have made is
 * not told.
 */
import { dbFromPowerRatio, powerRatioFromDb } from '../maths/units.ts'
import { levelMomentsS } from '../study/levels.ts'
import { powerOfSpan } from './bandpower.ts'
import { highPassed, highPassGain } from './highpass.ts'
import type { NoiseFigures } from './noisetake.ts'
import type { Missing, StringFigures } from './stringfigures.ts'

/** Ratios are over the first second, as everywhere. */
const ratioS = 1
const momentS = 0.1
/** Of the first partial: the filter takes 0.07 dB of it. */
const cutShare = 0.6
/** Two polarisations may beat by as much. */
const mostRiseDb = 3
/** Rows of tenths that make a second. */
const tenthsPerSecond = 10
/** Deviations of the room's own level that a string must rise above. */
const leastSwings = 2

/** @param onset sample index; null: no pluck was heard to begin. Adds its reasons to `missing`. */
export function ratiosOf(
  samples: Float32Array,
  sampleRateHz: number,
  onset: number | null,
  f1Hz: number,
  noise: NoiseFigures,
  missing: Missing,
): Pick<StringFigures, 'ratioDb' | 'ratioAtDb'> {
  const nothing = { ratioDb: null, ratioAtDb: levelMomentsS.map(() => null) }
  if (onset === null) {
    missing.ratioDb = 'A ratio counts from the pluck, and none was heard to begin.'
    missing.ratioAtDb = missing.ratioDb
    return nothing
  }
  const all = powerRatioFromDb(noise.levelDbfs)
  if (all === 0) {
    missing.ratioDb = 'The noise take is silent: there is nothing to be over.'
    missing.ratioAtDb = missing.ratioDb
    return nothing
  }
  const cutHz = cutShare * f1Hz
  const string = highPassed(samples, sampleRateHz, cutHz)
  const { binHz, density } = noise.fineSpectrum
  const above = density.reduce((sum, own, bin) => sum + own * highPassGain(bin * binHz, sampleRateHz, cutHz), 0) * binHz
  const swings = swingsOf(noise.tenthPowers)
  const ratio = (fromS: number, toS: number, most: number): number | null => {
    const [from, to] = [onset + fromS * sampleRateHz, onset + toS * sampleRateHz].map(Math.round)
    if (to > samples.length + 1) return null
    const own = powerOfSpan(string, from, to) - above
    return own > most * above ? dbFromPowerRatio(own / all) : null
  }
  const ratioDb = ratio(0, ratioS, swings.second)
  if (ratioDb === null) missing.ratioDb = 'The string is no louder than the room itself gets at times.'
  let last = Number.POSITIVE_INFINITY
  const ratioAtDb = levelMomentsS.map((atS) => {
    const own = ratio(atS - momentS / 2, atS + momentS / 2, swings.tenth)
    // A string only fades: what is louder than before is the room.
    last = own === null || own > last + mostRiseDb ? Number.NEGATIVE_INFINITY : own
    return last === Number.NEGATIVE_INFINITY ? null : own
  })
  if (ratioAtDb.includes(null))
    missing.ratioAtDb = 'By then the string is no louder than the room itself gets at times, or the take has ended.'
  return { ratioDb, ratioAtDb }
}

/** How far over its mean the room gets in a second and in a tenth, re the mean: two deviations, or the most it got. */
function swingsOf(tenths: Float64Array): { readonly second: number; readonly tenth: number } {
  const mean = tenths.reduce((sum, power) => sum + power, 0) / tenths.length
  const most = (values: Float64Array): number => {
    const deviation = Math.sqrt(values.reduce((sum, power) => sum + (power - mean) ** 2, 0) / values.length)
    return Math.max(leastSwings * deviation, ...values.map((power) => power - mean)) / mean
  }
  const seconds = Float64Array.from({ length: Math.max(1, tenths.length - tenthsPerSecond + 1) }, (_, i) => {
    const part = tenths.subarray(i, i + tenthsPerSecond)
    return part.reduce((sum, power) => sum + power, 0) / part.length
  })
  return mean > 0 ? { second: most(seconds), tenth: most(tenths) } : { second: 0, tenth: 0 }
}
