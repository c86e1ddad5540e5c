/**
 * A string as one pluck in a room showed it, with how far each of its figures may be off: what a prediction draws strings from.
 *
 * A partial that stands over the room keeps its level, decay and deviation, each with an error by how far it stands over (moments
 * of a power in noise; Rife & Boorstyn 1974, IEEE Trans. Inf. Theory 20:591-598 for a frequency), and is drawn towards what
 * strings usually have by that error. One that does not is taken from the others: a straight line of levels over octaves with the
 * scatter of recorded notes, the line itself as uncertain as few partials leave it, never louder than what the room could have hidden. Measured levels are of the first second; what
 * they were at the onset follows from the decay. Not for a string whose ratio or pitch could not be measured: null.
 */
import { dbFromPowerRatio, powerRatioFromDb } from '../maths/units.ts'
import { partialHz } from '../methods/stringlaw.ts'
import type { Kind } from '../scene/kinds.ts'
import { syntheticPluck } from '../study/stringpluck.ts'
import { powerBetween } from './bandpower.ts'
import { chiSquareOverFreedom } from './chisquare.ts'
import { ratioSpreadDb } from './comparetakes.ts'
import type { NoiseFigures } from './noisetake.ts'
import type { StringFigures, StringPartial } from './stringfigures.ts'
import { usualGlides } from './usualglides.ts'

/** Standard deviations beside values. */
export interface PredictedPartial {
  /** Mean power over the first second re any common level, dB. */
  readonly levelDb: number
  readonly levelSpreadDb: number
  /** Of one that was taken from the others: what the line through them leaves open, height and tilt, the same deviates for all. */
  readonly lineSpreadDb: { readonly height: number; readonly tilt: number }
  /** No louder than that, dB; Infinity: nothing is known against it. */
  readonly mostDb: number
  /** T60. */
  readonly decayS: number
  /** Of its logarithm. */
  readonly decaySpread: number
  readonly offsetCents: number
  readonly offsetSpreadCents: number
}

export interface PredictedString {
  readonly id: string
  readonly targetHz: number
  /** What nobody measured in the room (knock of the pluck) is usual for its kind; absent: for an electric guitar's. */
  readonly kind?: Kind
  readonly stiffness: number
  /** Standard deviation of it. */
  readonly stiffnessSpread: number
  /** Of a pluck of usual force, at the onset, cents: equally likely values, rising. */
  readonly glidesCents: readonly number[]
  /** k = 1 first, without gaps. */
  readonly partials: readonly PredictedPartial[]
  /** String over the room's mean, first second. */
  readonly ratioDb: number
  /** How well that is known of the usual pluck, dB. */
  readonly ratioErrorDb: number
  /** From pluck to pluck, dB. */
  readonly ratioSpreadDb: number
}

export interface StringTold {
  readonly targetHz: number
  /** Where the take could not tell. */
  readonly stiffness: number
  readonly kind?: Kind
  /** From pluck to pluck, dB; absent: `usualPluckSpreadDb`. */
  readonly ratioSpreadDb?: number
}

/** A hand that means to pluck alike. Assumption: own choice, no source. */
const usualPluckSpreadDb = 2

/** Levels of recorded notes fall by 5 to 14 dB an octave and scatter by 7 dB about that (scene/kinds.ts). */
const usualSlopeDb = -9
const slopeSpreadDb = 3
const levelScatterDb = 7
/** Partials off the law (scene/kinds.ts). */
const offsetScatterCents = 1.2
/** T60 of partials 4 to 7 is half that of partial 1 (scene/kinds.ts): a power law in k. */
const usualDecaySlope = Math.log(0.5) / Math.log(5.5)
const decayScatter = 0.35
const decayErrorTold = 0.15
/** Where no decay at all was told: between the kinds' 5 and 22 s. */
const usualDecayS = 7
const usualDecaySpread = 0.6
/** Above it a string is under 1 % of its power. */
const partialCount = 24
const bandEdge = 2 ** (50 / 1200)
/** As partials are told in stringpartials.ts. */
const z99 = 2.326
const fitS = 1.25

/** Of the stiffness known beforehand: gauges of one name differ (as measuredlaw.ts takes it). */
const knownShare = 0.3

/** null: without a ratio, a pitch or one partial that is told there is nothing to predict from. */
export function predictedString(
  figures: StringFigures,
  noise: NoiseFigures,
  { targetHz, stiffness: usualStiffness, kind, ratioSpreadDb: given = usualPluckSpreadDb }: StringTold,
): PredictedString | null {
  const { ratioDb, f1Hz, partials } = figures
  const told = partials.filter(({ levelDb, ratioDb: ratio }) => levelDb !== null && ratio !== null)
  if (ratioDb === null || f1Hz === null || told.length === 0) return null
  const stiffness = figures.stiffness ?? usualStiffness
  const levelAt = levelLine(told)
  const decayAt = decayLine(partials)
  const powerAt = (k: number): number => {
    const hz = partialHz({ f1Hz, stiffness }, k)
    return powerBetween(noise.fineSpectrum.density, noise.fineSpectrum.binHz, hz / bandEdge, hz * bandEdge)
  }
  const strongestDb = commonLevelDb(told, powerAt)
  const usualPluck = syntheticPluck({ id: '', targetHz, kind: kind ?? 'electric', pluck: {} }, 0, targetHz)
  // The bridge moves partial 1, a bass string's most.
  const firstOffsetCents = usualPluck.firstPartialOffsetCents
  // One pluck: how it stood to the usual one is not known.
  const measured = ratioSpreadDb(ratioDb, noise)
  return {
    id: figures.string,
    targetHz,
    ...(kind === undefined ? {} : { kind }),
    stiffness,
    stiffnessSpread: figures.stiffnessSpread ?? knownShare * stiffness,
    glidesCents: usualGlides(figures.glide, given),
    partials: Array.from({ length: partialCount }, (_, at): PredictedPartial => {
      const k = at + 1
      const own = partials.find((partial) => partial.k === k)
      const freedom = 2 * Math.max(1, partialHz({ f1Hz, stiffness }, k) * (bandEdge - 1 / bandEdge))
      const hidden = powerAt(k) * (chiSquareOverFreedom(z99, freedom) - 1)
      return {
        ...levelOf(own, levelAt(k), freedom),
        mostDb:
          own === undefined || own.levelDb !== null ? Number.POSITIVE_INFINITY : dbFromPowerRatio(hidden) - strongestDb,
        ...(own?.decayS == null ? decayAt(k) : { decayS: own.decayS, decaySpread: decayErrorTold }),
        ...offsetOf(own, k === 1 ? firstOffsetCents : 0),
      }
    }),
    ratioDb,
    ratioErrorDb: Math.hypot(given, Number.isNaN(measured) ? 1 : measured),
    ratioSpreadDb: given,
  }
}

/** Level 0 dB of the partials in the units of the room's density, in dB; middle of what each says. */
function commonLevelDb(told: readonly StringPartial[], powerAt: (k: number) => number): number {
  const levels = told
    .map(({ k, ratioDb, levelDb }) => dbFromPowerRatio(powerAt(k)) + (ratioDb ?? 0) - (levelDb ?? 0))
    .sort((a, b) => a - b)
  return levels[levels.length >> 1]
}

type UsualLevel = Pick<PredictedPartial, 'levelDb' | 'lineSpreadDb'>

/** Least squares of levels over octaves, the slope held near the usual one; partial 1 has a level of its own. */
function levelLine(told: readonly StringPartial[]): (k: number) => UsualLevel {
  const upper = told.some(({ k }) => k > 1) ? told.filter(({ k }) => k > 1) : told
  const xs = upper.map(({ k }) => Math.log2(k))
  const ys = upper.map(({ levelDb }) => levelDb ?? 0)
  const middle = (values: readonly number[]): number => values.reduce((sum, value) => sum + value, 0) / values.length
  const [meanX, meanY] = [middle(xs), middle(ys)]
  const held = (levelScatterDb / slopeSpreadDb) ** 2
  const xx = xs.reduce((sum, x) => sum + (x - meanX) ** 2, held)
  const xy = xs.reduce((sum, x, i) => sum + (x - meanX) * (ys[i] - meanY), held * usualSlopeDb)
  const height = levelScatterDb / Math.sqrt(xs.length)
  return (k) => {
    const octaves = Math.log2(k) - meanX
    const tilt = (levelScatterDb / Math.sqrt(xx)) * octaves
    return { levelDb: meanY + (xy / xx) * octaves, lineSpreadDb: { height, tilt } }
  }
}

function decayLine(partials: readonly StringPartial[]): (k: number) => { decayS: number; decaySpread: number } {
  const told = partials.filter(({ decayS }) => decayS !== null)
  if (told.length === 0) {
    return (k) => ({
      decayS: usualDecayS * k ** usualDecaySlope,
      decaySpread: Math.hypot(usualDecaySpread, decayScatter),
    })
  }
  const first = told.reduce((sum, { k, decayS }) => sum + Math.log(decayS ?? 1) - usualDecaySlope * Math.log(k), 0)
  const spread = Math.hypot(decayScatter, decayScatter / Math.sqrt(told.length))
  return (k) => ({ decayS: Math.exp(first / told.length) * k ** usualDecaySlope, decaySpread: spread })
}

function levelOf(
  own: StringPartial | undefined,
  usual: UsualLevel,
  freedom: number,
): Pick<PredictedPartial, 'levelDb' | 'levelSpreadDb' | 'lineSpreadDb'> {
  if (own?.levelDb == null || own.ratioDb === null) return { ...usual, levelSpreadDb: levelScatterDb }
  const ratio = powerRatioFromDb(own.ratioDb)
  // Variance of the power of a tone in noise of n degrees of freedom, re the tone's: (2 / n)(1 + 2 ratio) / ratio^2.
  const error = (10 / Math.LN10) * Math.sqrt(((2 / freedom) * (1 + 2 * ratio)) / ratio ** 2)
  return { levelDb: own.levelDb, levelSpreadDb: error, lineSpreadDb: { height: 0, tilt: 0 } }
}

function offsetOf(
  own: StringPartial | undefined,
  usualCents: number,
): Pick<PredictedPartial, 'offsetCents' | 'offsetSpreadCents'> {
  const usual = offsetScatterCents ** 2
  if (own?.deviationCents == null || own.ratioDb === null) {
    return { offsetCents: usualCents, offsetSpreadCents: offsetScatterCents }
  }
  // Bound of a frequency over T: variance 6 / (4 pi^2 T^3 P / S); power over density from the ratio within the band.
  const overDensity = powerRatioFromDb(own.ratioDb) * own.lawHz * (bandEdge - 1 / bandEdge)
  const errorHz = Math.sqrt(6 / (4 * Math.PI ** 2 * fitS ** 3 * overDensity))
  const error = ((1200 / Math.LN2) * errorHz) / own.lawHz
  const trust = usual / (usual + error ** 2)
  return {
    offsetCents: usualCents + trust * (own.deviationCents - usualCents),
    offsetSpreadCents: error * Math.sqrt(trust),
  }
}
