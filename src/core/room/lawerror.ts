/**
 * How well a fitted law is known, from how far its partials scatter about it: the covariance of the straight line
 * cents_k = a + B 600 log2(e) (k^2 - 1), every partial with the same error. And partial 1 where stiffness is not known so well:
 * the same line with B held near what is known beforehand, every partial with the error that its ratio leaves it.
 */
import { mean } from '../maths/statistics.ts'
import { hzFromCents } from '../maths/units.ts'
import { priorStiffness, priorStiffnessSd, stiffnessSlope } from '../methods/stringlaw.ts'
import type { MeasuredPartial } from '../study/fitstring.ts'

export interface LawError {
  /** Standard deviation of partial 1 of the law. */
  readonly f1Cents: number
  readonly stiffness: number
}

/** Strings whose partials lie better on a law than that were not found; guards against luck with few partials. */
const leastScatterCents = 0.1

/** @param ks partials the law rests on. NaN for fewer than three. */
export function lawError(ks: readonly number[], scatterCents: number): LawError {
  const n = ks.length
  if (n < 3) return { f1Cents: Number.NaN, stiffness: Number.NaN }
  const slopes = ks.map((k) => stiffnessSlope(k, 0))
  const middle = mean(slopes)
  const spread = slopes.reduce((sum, slope) => sum + (slope - middle) ** 2, 0)
  // The scatter is a root mean square about a line with two unknowns.
  const deviation = Math.max(leastScatterCents, scatterCents) * Math.sqrt(n / (n - 2))
  return {
    stiffness: deviation / Math.sqrt(spread),
    f1Cents: deviation * Math.sqrt(1 / n + (middle * middle) / spread),
  }
}

/** Bodies and bridges move partials by as much: medians of recorded notes. */
const usualScatterCents = 1.2
/** Of the known stiffness: gauges of one name differ. */
const knownShare = 0.3
const rounds = 4

/**
 * Partial 1 in Hz. `lawHz`: the law that `deviationCents` are off from at stiffness `lawStiffness`; `stiffness`: what is known of
 * the string, 0 for nothing; `spanS`: what the partials were measured over.
 */
export function guardedF1Hz(
  partials: readonly MeasuredPartial[],
  { lawHz, lawStiffness, stiffness, spanS }: { lawHz: number; lawStiffness: number; stiffness: number; spanS: number },
): number {
  const prior = (stiffness > 0 ? stiffness : priorStiffness) - lawStiffness
  const priorSd = stiffness > 0 ? knownShare * stiffness : priorStiffnessSd
  let [shift, more] = [0, prior]
  for (let round = 0; round < rounds; round++) {
    let [w, x, y, xx, xy] = [0, 0, 0, 1 / priorSd ** 2, prior / priorSd ** 2]
    for (const { k, frequencyHz, snrDb, deviationCents } of partials) {
      const slope = stiffnessSlope(k, 0)
      // Half of 1 / (span sqrt(ratio)), Hz: the bound of a tone's frequency and what a Hann window adds (Rife & Boorstyn 1974).
      const own = (1731 * 0.5) / (spanS * 10 ** (snrDb / 20) * frequencyHz)
      const error2 = own * own + usualScatterCents ** 2
      const residual = deviationCents - shift - slope * more
      // Cauchy's weight: the first round trusts everybody.
      const weight = round === 0 ? 1 / error2 : 1 / (error2 + residual * residual)
      w += weight
      x += weight * slope
      y += weight * deviationCents
      xx += weight * slope * slope
      xy += weight * slope * deviationCents
    }
    if (w === 0) return lawHz
    more = (xy - (x * y) / w) / (xx - (x * x) / w)
    shift = (y - x * more) / w
  }
  return hzFromCents(shift, lawHz)
}
