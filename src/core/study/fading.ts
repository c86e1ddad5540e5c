/** How strong a partial still is, with the slope it has from the knee on. */
import { kneeS } from '../scene/oscillators.ts'
import type { Partial } from '../scene/scene.ts'

/** Peak amplitude `atS` after the onset; NaN before it. */
export function amplitudeAt({ amplitude, decayPerS, lateDecayPerS = decayPerS }: Partial, atS: number): number {
  if (!(atS >= 0)) return Number.NaN
  return amplitude * Math.exp(-decayPerS * Math.min(atS, kneeS) - lateDecayPerS * Math.max(0, atS - kneeS))
}
