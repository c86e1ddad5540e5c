/**
 * Two takes side by side: the same strings through two paths, at two places, damped against ringing.
 *
 * How sure a ratio is depends on the room: it changes from second to second, and the pluck fell into one of them. Over a noise
 * take of n whole seconds, with coefficient of variation v of their powers, the room's mean is known to v / sqrt(n), and its
 * power in the pluck's second to v; at string-over-room S the relative error of S is sqrt(v^2 / n + (v / S)^2) to first
 * order (delta method), 4.34 times that in dB. What a hand changes from pluck to pluck is not in it: one pluck cannot tell.
 * In a room that never changes (hum) that would be nothing, while windows and edges leave 0.04 to 0.08 dB RMS: a floor is added.
 * Not valid under S = 1 or so, where the error is no longer small. The difference of two takes adds squares.
 */
import { powerRatioFromDb } from '../maths/units.ts'
import type { NoiseFigures } from './noisetake.ts'
import type { StringFigures } from './stringfigures.ts'

/** A value with its 95 % interval; NaN bounds: none can be told. */
export interface Ranged {
  readonly value: number
  readonly low: number
  readonly high: number
}

export interface JudgedTake {
  readonly noise: NoiseFigures
  readonly strings: readonly StringFigures[]
}

export interface ComparedString {
  readonly string: string
  readonly first: StringFigures
  readonly second: StringFigures
  /** dB, second less first; null: one of them has none. */
  readonly ratioDb: Ranged | null
  /** Cents, second less first: the same string, unless it was turned. */
  readonly pitchCents: Ranged | null
}

export interface ComparedBand {
  readonly nominalHz: number
  /** dB, second less first, each re its own full scale. */
  readonly levelDb: Ranged
}

export interface ComparedTakes {
  /** In the order of the first; those that only one of them has are left out. */
  readonly strings: readonly ComparedString[]
  readonly bands: readonly ComparedBand[]
}

/** Two-sided 95 % of a normal deviate. */
const z95 = 1.959964
const decibel = 10 / Math.LN10
const tenthsInSecond = 10
/** Fewer say nothing of how they scatter. */
const fewestSeconds = 3
/** What windows and edges leave in hum, RMS: the largest of four ratios from 0 to 20 dB, 80 plucks each (seed 4242). */
const floorDb = 0.08

export function compareTakes(first: JudgedTake, second: JudgedTake): ComparedTakes {
  return {
    strings: first.strings.flatMap((own): ComparedString[] => {
      const other = second.strings.find(({ string }) => string === own.string)
      if (other === undefined) return []
      return [
        {
          string: own.string,
          first: own,
          second: other,
          ratioDb: difference(
            [own.ratioDb, ratioSpreadDb(own.ratioDb, first.noise)],
            [other.ratioDb, ratioSpreadDb(other.ratioDb, second.noise)],
          ),
          pitchCents: difference([own.offCents, own.f1SpreadCents], [other.offCents, other.f1SpreadCents]),
        },
      ]
    }),
    bands: first.noise.thirdOctaves.flatMap((own): ComparedBand[] => {
      const other = second.noise.thirdOctaves.find(({ nominalHz }) => nominalHz === own.nominalHz)
      if (other === undefined || !Number.isFinite(own.levelDbfs) || !Number.isFinite(other.levelDbfs)) return []
      const value = other.levelDbfs - own.levelDbfs
      // Intervals of levels are lopsided: each side of the difference has its own.
      const low = Math.hypot(other.levelDbfs - other.lowDbfs, own.highDbfs - own.levelDbfs)
      const high = Math.hypot(other.highDbfs - other.levelDbfs, own.levelDbfs - own.lowDbfs)
      return [{ nominalHz: own.nominalHz, levelDb: { value, low: value - low, high: value + high } }]
    }),
  }
}

/** Standard deviation of a ratio by what the room does, dB; NaN: the take is too short to tell, or there is no ratio. */
export function ratioSpreadDb(ratioDb: number | null, { tenthPowers }: NoiseFigures): number {
  const seconds = Math.floor(tenthPowers.length / tenthsInSecond)
  if (ratioDb === null || seconds < fewestSeconds) return Number.NaN
  const powers = Array.from(
    { length: seconds },
    (_, i) =>
      tenthPowers.subarray(i * tenthsInSecond, (i + 1) * tenthsInSecond).reduce((sum, power) => sum + power, 0) /
      tenthsInSecond,
  )
  const mean = powers.reduce((sum, power) => sum + power, 0) / seconds
  const variance = powers.reduce((sum, power) => sum + (power - mean) ** 2, 0) / (seconds - 1)
  const share = variance / (mean * mean)
  return Math.hypot(floorDb, decibel * Math.sqrt(share / seconds + share / powerRatioFromDb(2 * ratioDb)))
}

/** The 95 % interval of a value that scatters normally. */
export const ranged = (value: number, spread: number): Ranged => ({
  value,
  low: value - z95 * spread,
  high: value + z95 * spread,
})

type Spread = readonly [value: number | null, spread: number | null]

function difference([a, spreadA]: Spread, [b, spreadB]: Spread): Ranged | null {
  if (a === null || b === null) return null
  return ranged(b - a, Math.hypot(spreadA ?? Number.NaN, spreadB ?? Number.NaN))
}
