/**
 * What is true of a pluck. A stiff string has no single period, and a body bends single partials: the truth is the first
 * partial of the string's law moved by the mean deviation of the first six partials as they sound, weighted by their power
 * over the first second, each polarisation a component of its own. Without deviations it is exactly firstPartialHz.
 */
import { exp, pow } from '../maths/portable.ts'
import { powerOf } from './firstsecond.ts'
import type { Partial, SyntheticPluck, Truth } from './scene.ts'

/** Higher ones are weak, and a technician's ear and most devices follow the low ones. */
const highestPartial = 6

/** Mean deviation of the first six partials from the law. 0 where none of them sounds. */
export function meanDeviationCents(partials: readonly Partial[]): number {
  let power = 0
  let moment = 0
  for (const partial of partials) {
    if (partial.k > highestPartial) continue
    const own = powerOf({ ...partial, phaseRad: 0 })
    power += own
    moment += own * (partial.deviationCents ?? 0)
  }
  return power > 0 ? moment / power : 0
}

/** Rows of the truth are this far apart. */
const trackStepS = 0.01
/** Left of the glide when the string counts as settled: it is heard no further (see oscillators.ts). */
const settledCents = 1e-4

/**
 * The truth of a pluck in a take of `durationS`. Times are counted from the start of the take; the last row, at its end, is
 * the settled pitch even where the glide still lives: that is what the take is scored against.
 * @param partials as they are heard; none: on the law.
 */
export function pluckTruth(pluck: SyntheticPluck, durationS: number, partials: readonly Partial[] = []): Truth {
  const { onsetS, firstPartialHz, glideCents, glideS } = pluck
  const meanCents = meanDeviationCents(partials)
  const settledHz = meanCents === 0 ? firstPartialHz : firstPartialHz * pow(2, meanCents / 1200)
  return truthOf(onsetS, settledHz, durationS, (sinceS) => {
    const cents = glideCents * exp(-sinceS / glideS)
    return Math.abs(cents) < settledCents ? settledHz : settledHz * pow(2, cents / 1200)
  })
}

/** A truth whose pitch stands at `f0HzAt(seconds since the onset)` and in the end at `settledHz`. */
export function truthOf(
  onsetS: number,
  settledHz: number,
  durationS: number,
  f0HzAt: (sinceS: number) => number,
): Truth {
  const track: { timeS: number; f0Hz: number }[] = []
  for (let row = 0; onsetS + row * trackStepS < durationS; row++) {
    track.push({ timeS: onsetS + row * trackStepS, f0Hz: f0HzAt(row * trackStepS) })
  }
  track.push({ timeS: durationS, f0Hz: settledHz })
  return { onsetS, settledHz, track }
}
