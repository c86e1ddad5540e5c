/**
 * How a trial stood before any method heard it: string over noise as the string fades, partial by partial, and the strongest
 * line of the noise side. The broadband ratio tells about blind methods' gross errors, the in-band ones about fine error and
 * about aimed methods.
 *
 * In band: power within 50 c of the partial over the first second, both sides measured on the rounded samples. One transform
 * a side; the noise is tapered at both ends, the string at its end only (its start is the pluck's own), so that what lies
 * elsewhere leaks little. A band narrower than the 1 Hz that a second resolves (under 20 Hz) loses part of its partial; at
 * 41 Hz, 2.4 Hz wide, 0.3 dB. A string that dies at once is up to 0.1 dB off by its taper.
 *
 * Values are rounded to a hundredth: files stay short, and last bits that differ between engines do not show.
 */
import { RealFourier } from '../maths/fourier.ts'
import { median } from '../maths/statistics.ts'
import { centsBetween, dbFromPowerRatio } from '../maths/units.ts'
import type { Partial, Truth } from '../scene/scene.ts'
import { foreignLine } from './lines.ts'

/** The same for every method of a trial. dB are string over noise; NaN where there is nothing to tell (null in JSON). */
export interface Levels {
  /** Over the first second: what the trial's ratio came to. */
  readonly ratioDb: number
  /** At each of `levelMomentsS` after the onset, over 100 ms; NaN beyond the take. */
  readonly ratioAtDb: readonly number[]
  /** Partials 1 to 10; NaN for one that the string does not have. */
  readonly inBandDb: readonly number[]
  readonly inBandMedianDb: number
  readonly inBandMinDb: number
  /** The strongest line that does not belong to the string; NaN: none stands out in the first second. */
  readonly foreignHz: number
  /** From the note in hand, not from the nearest partial. */
  readonly foreignCents: number
  /** Its power over that of the whole string in its first second. */
  readonly foreignOverStringDb: number
}

export interface LevelInput {
  /** All zero where no string sounds: then only the foreign line is told. */
  readonly clean: Float32Array
  readonly noise: Float32Array
  readonly sampleRateHz: number
  readonly truth: Truth
  /** Empty for a recorded string: its partials are then taken for whole multiples of its pitch. */
  readonly partials: readonly Partial[]
  readonly targetHz: number
}

export const levelMomentsS = [0.2, 0.5, 1, 2] as const
/** A tenth of a second holds several periods of the lowest string and still tells one moment from the next. */
const windowS = 0.1
/** Ratios are over the first second, as everywhere. */
const ratioS = 1
const partialCount = 10
const bandCents = 50
/** Of the span. The string has decayed by its end; what is cut there is little, and the taper may be short. */
const stringTaper = 0.05
const noiseTaper = 0.1

export function levelsOf(input: LevelInput): Levels {
  const { clean, noise, sampleRateHz, truth, targetHz } = input
  const { onsetS } = truth
  const endS = clean.length / sampleRateHz
  const stringPower = powerIn(clean, sampleRateHz, onsetS, onsetS + ratioS)
  const line = foreignLine(noise, sampleRateHz, onsetS, truth.settledHz)?.line ?? null
  const inBandDb =
    stringPower > 0 ? inBand(input).map(hundredths) : Array.from({ length: partialCount }, () => Number.NaN)
  return {
    ratioDb: hundredths(ratioDb(stringPower, powerIn(noise, sampleRateHz, onsetS, onsetS + ratioS))),
    ratioAtDb: levelMomentsS.map((atS) => {
      const [fromS, toS] = [onsetS + atS - windowS / 2, onsetS + atS + windowS / 2]
      // The last window of a take that ends at this very moment ends there too.
      if (onsetS + atS > endS + 1e-9) return Number.NaN
      return hundredths(ratioDb(powerIn(clean, sampleRateHz, fromS, toS), powerIn(noise, sampleRateHz, fromS, toS)))
    }),
    inBandDb,
    inBandMedianDb: hundredths(median(inBandDb)),
    inBandMinDb: inBandDb.reduce((least, db) => (db < least || Number.isNaN(least) ? db : least), Number.NaN),
    foreignHz: hundredths(line?.hz ?? Number.NaN),
    foreignCents: hundredths(centsBetween(line?.hz ?? Number.NaN, targetHz)),
    foreignOverStringDb: hundredths(ratioDb((line?.amplitude ?? Number.NaN) ** 2 / 2, stringPower)),
  }
}

/** Mean square between two moments, as far as there are samples. */
function powerIn(samples: Float32Array, sampleRateHz: number, fromS: number, toS: number): number {
  const from = Math.max(0, Math.round(fromS * sampleRateHz))
  const to = Math.min(samples.length, Math.round(toS * sampleRateHz))
  let sum = 0
  for (let i = from; i < to; i++) sum += samples[i] * samples[i]
  return sum / (to - from)
}

const ratioDb = (power: number, over: number): number =>
  power > 0 && over > 0 ? dbFromPowerRatio(power / over) : Number.NaN

/** Adding 0 makes of -0 what JSON makes of it. */
const hundredths = (value: number): number => Math.round(value * 100) / 100 + 0

function inBand({ clean, noise, sampleRateHz, truth, partials }: LevelInput): number[] {
  const from = Math.max(0, Math.round(truth.onsetS * sampleRateHz))
  const to = Math.min(clean.length, from + Math.round(ratioS * sampleRateHz))
  if (to - from < 16) return Array.from({ length: partialCount }, () => Number.NaN)
  const string = spectrumOf(clean, from, to, 0, stringTaper)
  const room = spectrumOf(noise, from, to, noiseTaper, noiseTaper)
  const binHz = sampleRateHz / (2 * (string.length - 1))
  const edge = 2 ** (bandCents / 1200)
  return Array.from({ length: partialCount }, (_, i) => {
    const known = partials.find(({ k }) => k === i + 1)?.frequencyHz
    const hz = known ?? (partials.length === 0 ? (i + 1) * truth.settledHz : Number.NaN)
    if (!(hz * edge < sampleRateHz / 2)) return Number.NaN
    const [low, high] = [hz / edge / binHz, (hz * edge) / binHz]
    return ratioDb(bandPower(string, low, high), bandPower(room, low, high))
  })
}

/** Power spectrum of a span, the taper's own power taken out: two sides with other tapers can be compared. */
function spectrumOf(
  samples: Float32Array,
  from: number,
  to: number,
  startShare: number,
  endShare: number,
): Float64Array {
  const length = to - from
  let size = 16
  // Twice the span: the power between two bins is then known too.
  while (size < 2 * length) size *= 2
  const lens = lensOf(size)
  const [start, end] = [startShare * length, endShare * length]
  let weights = 0
  for (let i = 0; i < length; i++) {
    const left = length - 1 - i
    let weight = 1
    if (i < start) weight = 0.5 - 0.5 * Math.cos((Math.PI * (i + 0.5)) / start)
    else if (left < end) weight = 0.5 - 0.5 * Math.cos((Math.PI * (left + 0.5)) / end)
    weights += weight * weight
    lens.frame[i] = weight * samples[from + i]
  }
  lens.frame.fill(0, length)
  const power = new Float64Array(size / 2 + 1)
  lens.fourier.power(lens.frame, power)
  for (let bin = 0; bin < power.length; bin++) power[bin] /= weights
  return power
}

/** Between two places on the axis of bins; each bin stands for the half bin to either side of it. */
function bandPower(power: Float64Array, low: number, high: number): number {
  let sum = 0
  for (let bin = Math.max(0, Math.round(low)); bin <= Math.min(power.length - 1, Math.round(high)); bin++) {
    sum += power[bin] * Math.max(0, Math.min(high, bin + 0.5) - Math.max(low, bin - 0.5))
  }
  return sum
}

/** Making a transform takes longer than using it; a study has one rate and so one size. */
interface Lens {
  readonly fourier: RealFourier
  readonly frame: Float64Array
}
let kept: Lens | null = null

function lensOf(size: number): Lens {
  if (kept?.fourier.size !== size) kept = { fourier: new RealFourier(size), frame: new Float64Array(size) }
  return kept
}
