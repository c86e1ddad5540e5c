/**
 * How well a fitted law is known, from how far its partials scatter about it: the covariance of the straight line
 * cents_k = a + B 600 log2(e) (k^2 - 1), every partial with the same error.
 */
import { mean } from '../maths/statistics.ts'
import { stiffnessSlope } from '../methods/stringlaw.ts'

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
