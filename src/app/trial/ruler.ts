/**
 * The cents ruler, upright: a symmetric-log scale whose middle is the truth, and time along the other side. Everything that
 * is drawn over time shares these numbers.
 */
import type { ClaimSettings } from '../../core/score/score.ts'

/** Below this the scale is nearly even, above it nearly logarithmic: a tuner's work is within a few cents. */
const evenCents = 2
/** What is further away is another note, or half of one: an arrow at the edge says so. */
export const limitCents = 50
export const rulerTicks: readonly number[] = [50, 20, 10, 5, 2, 1, 0, -1, -2, -5, -10, -20, -50]

/** -1 at -50 c, 0 at 0, 1 at +50 c; beyond that further on. */
export const rulerShare = (cents: number): number =>
  (Math.sign(cents) * Math.log(1 + Math.abs(cents) / evenCents)) / Math.log(1 + limitCents / evenCents)

export interface Frame {
  /** The plot without its margins. */
  readonly widthPx: number
  readonly heightPx: number
  /** Seconds from the start of the take. */
  readonly fromS: number
  readonly toS: number
  readonly onsetS: number
}

/** From the top of the plot. */
export const yOf = (cents: number, { heightPx }: Pick<Frame, 'heightPx'>): number =>
  (heightPx / 2) * (1 - rulerShare(cents))

export const xOf = (takeS: number, { fromS, toS, widthPx }: Omit<Frame, 'heightPx' | 'onsetS'>): number =>
  ((takeS - fromS) / (toS - fromS)) * widthPx

/** Multiples of the step that leaves at most six ticks, s after the pluck. */
export function timeTicks({ fromS, toS, onsetS }: Omit<Frame, 'heightPx' | 'widthPx'>): readonly number[] {
  const wide = toS - fromS
  const step = [0.1, 0.2, 0.5, 1, 2, 5, 10, 20, 50, 100].find((one) => wide / one <= 6.2) ?? 200
  const first = Math.ceil((fromS - onsetS) / step - 1e-9)
  const last = Math.floor((toS - onsetS) / step + 1e-9)
  return Array.from({ length: Math.max(0, last - first + 1) }, (_, i) => (first + i) * step)
}

/** Longer silences between two readings break the line, as they break a hold. */
export const longestGapS = ({ holdS }: ClaimSettings): number => holdS / 3
