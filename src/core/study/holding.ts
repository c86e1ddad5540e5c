/**
 * How near a method came to holding still: longest run, narrowest hold, how steady it was when the take ended. Same hold,
 * gap and number of readings as the rule of claims (score/claim.ts), which only says whether a hold was completed.
 */
import { centsBetween } from '../maths/units.ts'
import type { Reading } from '../methods/method.ts'
import type { ClaimSettings } from '../score/score.ts'

const fewestReadings = 5

/** Longest time from the first to the last of neighbouring readings none of which is declined, s. */
export function longestRunS(readings: readonly Reading[], sampleRateHz: number): number {
  let longest = 0
  let first = -1
  for (const [at, reading] of readings.entries()) {
    if (!(reading.f0Hz > 0)) first = -1
    else {
      if (first < 0) first = at
      longest = Math.max(longest, (reading.toSample - readings[first].toSample) / sampleRateHz)
    }
  }
  return longest
}

/**
 * Smallest spread, cents, of the readings in any [t - hold, t] that are enough, without a gap and without a declined one;
 * t from `fromS` on. NaN: no such stretch.
 */
export function leastSpan(
  readings: readonly Reading[],
  sampleRateHz: number,
  { holdS }: ClaimSettings,
  fromS: number,
): number {
  const holdSamples = holdS * sampleRateHz
  let least = Number.NaN
  let first = 0
  for (let last = 0; last < readings.length; last++) {
    while (spanned(readings, first, last) > holdSamples + 0.5) first++
    if (readings[last].toSample < fromS * sampleRateHz || last - first + 1 < fewestReadings) continue
    let whole = readings[last].f0Hz > 0
    for (let at = first + 1; whole && at <= last; at++) whole = joined(readings, at, holdSamples)
    if (!whole) continue
    const spread = spreadCents(readings, first, last)
    if (!(spread >= least)) least = spread
  }
  return least
}

/** For how long, up to the last reading, readings lay within the span without a gap, s; 0: not even two. */
export function steadyEndS(
  readings: readonly Reading[],
  sampleRateHz: number,
  { holdS, spanCents }: ClaimSettings,
): number {
  const last = readings.length - 1
  if (last < 1 || !(readings[last].f0Hz > 0)) return 0
  let first = last
  while (
    first > 0 &&
    joined(readings, first, holdS * sampleRateHz) &&
    spreadCents(readings, first - 1, last) <= spanCents
  ) {
    first--
  }
  return spanned(readings, first, last) / sampleRateHz
}

/** Whether reading `at` and the one before it belong to one unbroken stretch. */
function joined(readings: readonly Reading[], at: number, holdSamples: number): boolean {
  const [before, here] = [readings[at - 1], readings[at]]
  return before.f0Hz > 0 && here.f0Hz > 0 && here.toSample - before.toSample <= holdSamples / 3 + 1
}

const spanned = (readings: readonly Reading[], first: number, last: number): number =>
  readings[last].toSample - readings[first].toSample

function spreadCents(readings: readonly Reading[], first: number, last: number): number {
  let [lowest, highest] = [Number.POSITIVE_INFINITY, 0]
  for (let i = first; i <= last; i++) {
    lowest = Math.min(lowest, readings[i].f0Hz)
    highest = Math.max(highest, readings[i].f0Hz)
  }
  return centsBetween(highest, lowest)
}
