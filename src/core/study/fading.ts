/** How strong a partial still is, and how strong it was on the whole, with the slope it has from the knee on. */
import { kneeS } from '../scene/oscillators.ts'
import type { Partial } from '../scene/scene.ts'

/** Peak amplitude `atS` after the onset; NaN before it. */
export function amplitudeAt({ amplitude, decayPerS, lateDecayPerS = decayPerS }: Partial, atS: number): number {
  if (!(atS >= 0)) return Number.NaN
  return amplitude * Math.exp(-decayPerS * Math.min(atS, kneeS) - lateDecayPerS * Math.max(0, atS - kneeS))
}

/** Mean square over the first `spanS`, many periods long. */
export function meanPower(partial: Partial, spanS: number): number {
  const { amplitude, decayPerS, lateDecayPerS = decayPerS } = partial
  const early = Math.min(spanS, kneeS)
  const atKnee = amplitudeAt(partial, early)
  const energy =
    (amplitude ** 2 / 2) * fallingS(2 * decayPerS, early) +
    (atKnee ** 2 / 2) * fallingS(2 * lateDecayPerS, Math.max(0, spanS - kneeS))
  return energy / spanS
}

/** Integral of exp(-rate t) over the span. */
const fallingS = (ratePerS: number, spanS: number): number =>
  // Below this the series' second term is under the rounding of the first.
  ratePerS * spanS < 1e-8 ? spanS : (1 - Math.exp(-ratePerS * spanS)) / ratePerS
