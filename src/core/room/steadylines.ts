/**
 * Hum and steady tones of a room: found (linecandidates.ts), shown to sound through the whole take (linesteadiness.ts), told
 * which family they belong to (linefamilies.ts) and how near they lie to a string.
 *
 * A tone must stand out of the whole take's spectrum and be there in every part of it. In 5 s, frequencies are good to 4 mHz
 * for a tone 20 dB over the noise within 1 Hz; under some 14 dB it is not told. Not for tones above 6 kHz.
 */
import { dbFromPowerRatio } from '../maths/units.ts'
import { lineCandidates, lowestLineHz } from './linecandidates.ts'
import { type LineFamily, lineFamilies } from './linefamilies.ts'
import { steadiness } from './linesteadiness.ts'
import { lowered } from './lowered.ts'
import { type NearPartial, nearestPartial, type RoomString } from './roomstring.ts'

export type { LineFamily } from './linefamilies.ts'

export interface SteadyLine {
  readonly hz: number
  /** RMS of the tone re full scale = 1. */
  readonly levelDbfs: number
  /** Power of the tone over that of the noise in 1 Hz around it. */
  readonly overFloorDb: number
  readonly family: LineFamily
  /** The nearest partial of any string; null without strings. */
  readonly nearest: NearPartial | null
}

/**
 * Chance that Gaussian noise gives a take any line. Tests of steadiness come on top, for what is not Gaussian: room.md of
 * tests/bench has the measured rates.
 */
export const lineFalseAlarmRate = 0.01

/** Partial 10 of the highest string lies lower, and nobody names a tone above. */
const highestHz = 6000
/** A tone wanders more than a spectrum of more than that resolves. */
const longestS = 20
/** Weaker ones beside do not shake a part's amplitude. */
const besideShare = 0.1

/** Loudest first. */
export function steadyLines(
  samples: Float32Array,
  sampleRateHz: number,
  strings: readonly RoomString[],
): readonly SteadyLine[] {
  const heard = samples.subarray(0, Math.round(longestS * sampleRateHz))
  const low = lowered(heard, sampleRateHz, Math.min(highestHz, 0.42 * sampleRateHz))
  const topHz = Math.min(highestHz, 0.42 * low.rateHz)
  if (low.samples.length < low.rateHz || topHz <= lowestLineHz) return []
  const candidates = lineCandidates(low.samples, low.rateHz, topHz, lineFalseAlarmRate)
  const found = candidates.flatMap((candidate) => {
    const others = candidates
      .filter((other) => other !== candidate && strengthOf(other) > besideShare * strengthOf(candidate))
      .map(({ hz }) => hz)
    const steady = steadiness(low.samples, low.rateHz, candidate, others)
    return steady === null ? [] : [{ ...steady, floorDensity: candidate.floorDensity }]
  })
  const families = lineFamilies(found.map(({ hz }) => hz))
  return found
    .map(
      ({ hz, power, floorDensity }, i): SteadyLine => ({
        hz,
        levelDbfs: dbFromPowerRatio(power),
        overFloorDb: dbFromPowerRatio(power / floorDensity),
        family: families[i],
        nearest: nearestPartial(hz, strings),
      }),
    )
    .sort((a, b) => b.levelDbfs - a.levelDbfs)
}

const strengthOf = ({ overMean, floorDensity }: { overMean: number; floorDensity: number }): number =>
  overMean * floorDensity
