/**
 * When a method's readings have stopped moving, and how long they stay right.
 *
 * A method is steady at t >= H when the readings in [t - H, t] number at least five, none is declined, no gap between them
 * exceeds H / 3, and max - min <= spanCents. t is looked at when readings arrive: nothing a person sees changes in between.
 * A reading's time is the moment its last sample was heard. Times here are seconds from the start of the take.
 * Readings must stand in order of time.
 */
import { centsBetween } from '../maths/units.ts'
import type { Reading } from '../methods/method.ts'
import type { ClaimSettings } from './score.ts'

export interface Hold {
  /** Readings [first, last] made the hold; `last` completed it. */
  readonly first: number
  readonly last: number
  /** The moment of the last one: when a person may act. `lockS` less the hold is when the readings stopped moving. */
  readonly lockS: number
}

/** Fewer could agree by chance. */
const fewestReadings = 5

/** Times read from text are rounded to a microsecond or so; less than a sample's length decides nothing. */
const slackS = 2e-6

/** The shortest hold that somebody who answers every `periodS` can complete. Its gaps are a quarter of it: less than a third. */
export const shortestHoldS = (periodS: number): number => (fewestReadings - 1) * periodS

/** Whoever answers every `periodS` can never complete the hold. */
export const isTooSlowToClaim = (periodS: number, { holdS }: Pick<ClaimSettings, 'holdS'>): boolean =>
  shortestHoldS(periodS) > holdS + slackS

/** The first hold of a take, or null. */
export function firstHold(
  readings: readonly Reading[],
  sampleRateHz: number,
  { holdS, spanCents }: ClaimSettings,
): Hold | null {
  // Readings before `unbroken` lie beyond a gap or a declined reading.
  let unbroken = 0
  let first = 0
  for (let last = 0; last < readings.length; last++) {
    const lockS = readings[last].toSample / sampleRateHz
    if (!(readings[last].f0Hz > 0)) {
      unbroken = last + 1
      continue
    }
    if (last > unbroken && isGap(readings, last, sampleRateHz, holdS)) unbroken = last
    while (readings[first].toSample / sampleRateHz < lockS - holdS - slackS) first++
    if (lockS < holdS - slackS || first < unbroken || last - first + 1 < fewestReadings) continue
    if (spreadCents(readings, first, last) <= spanCents) return { first, last, lockS }
  }
  return null
}

/**
 * The first moment, not before `fromS`, from which readings stay within `withinCents` of `centreHz` for the hold: the same
 * number and gaps as above. NaN: never inside the take.
 */
export function settledFrom(
  readings: readonly Reading[],
  sampleRateHz: number,
  fromS: number,
  centreHz: number,
  withinCents: number,
  holdS: number,
): number {
  let start = -1
  for (let last = 0; last < readings.length; last++) {
    const { f0Hz, toSample } = readings[last]
    const timeS = toSample / sampleRateHz
    if (timeS < fromS - slackS) continue
    if (!(Math.abs(centsBetween(f0Hz, centreHz)) <= withinCents)) {
      start = -1
      continue
    }
    if (start < 0 || isGap(readings, last, sampleRateHz, holdS)) start = last
    const startS = readings[start].toSample / sampleRateHz
    if (timeS - startS >= holdS - slackS && last - start + 1 >= fewestReadings) return startS
  }
  return Number.NaN
}

const isGap = (readings: readonly Reading[], at: number, sampleRateHz: number, holdS: number): boolean =>
  (readings[at].toSample - readings[at - 1].toSample) / sampleRateHz > holdS / 3 + slackS

function spreadCents(readings: readonly Reading[], first: number, last: number): number {
  let [lowest, highest] = [readings[first].f0Hz, readings[first].f0Hz]
  for (let i = first + 1; i <= last; i++) {
    const { f0Hz } = readings[i]
    if (f0Hz < lowest) lowest = f0Hz
    if (f0Hz > highest) highest = f0Hz
  }
  return centsBetween(highest, lowest)
}
