/**
 * What a room does through this input: figures of a take with the strings damped.
 *
 * Levels are about the take's mean (an input's offset is no noise), dB re full scale = 1: a full-scale sine has -3.01 dB RMS.
 * Third octaves are means over Hann-windowed, half-overlapped segments of a second (Welch 1967, IEEE Trans. Audio
 * Electroacoust. 15:70-73). Their intervals are chi-square: degrees of freedom by moments from how much the segments' own
 * powers differ (Satterthwaite 1946, Biometrics Bull. 2:110-114, with Welch's correction for overlap), never more than
 * Gaussian noise would have in that band: a stage is no Gaussian noise, and its intervals come out wider for it. Not valid for what
 * changes over longer than the take: nobody can tell from 5 s what the next song does.
 */
import { type Spectrum, welch } from '../maths/spectrum.ts'
import { dbFromAmplitudeRatio, dbFromPowerRatio } from '../maths/units.ts'
import { Problem } from '../problem.ts'
import { powerBetween, powerOfSpan, SegmentDensity } from './bandpower.ts'
import { powerInterval } from './chisquare.ts'
import type { RoomString } from './roomstring.ts'
import { type SteadyLine, steadyLines } from './steadylines.ts'
import { type ThirdOctave, thirdOctaves } from './thirdoctaves.ts'

export interface ThirdOctaveLevel extends ThirdOctave {
  /** RMS of the band re full scale = 1; -Infinity for silence. */
  readonly levelDbfs: number
  /** 95 % interval of the room's mean level. */
  readonly lowDbfs: number
  readonly highDbfs: number
  /** Degrees of freedom behind the interval. */
  readonly freedom: number
}

export interface NoiseFigures {
  readonly sampleRateHz: number
  readonly durationS: number
  /** RMS about the mean. */
  readonly levelDbfs: number
  /** Largest sample, the mean left in: it is what overloads. */
  readonly peakDbfs: number
  readonly thirdOctaves: readonly ThirdOctaveLevel[]
  /** Smooth enough to whiten by: fit to be a `Stream.room`. */
  readonly spectrum: Spectrum
  /** Segments of a second, as the third octaves; bins of half a Hz or so: fit to be drawn, and to weigh partials. */
  readonly fineSpectrum: Spectrum
  /** The most that each bin had in any one segment: what stands over it is not this room. */
  readonly loudestSpectrum: Spectrum
  /** Segments behind third octaves and fine spectrum. */
  readonly segments: number
  /** Mean squares of the take's tenths of a second, in order: how the level swings. */
  readonly tenthPowers: Float64Array
  /** Hum and steady tones, loudest first. */
  readonly lines: readonly SteadyLine[]
  /** The strings that the lines were told against. */
  readonly strings: readonly RoomString[]
}

/** Two segments at least are wanted to say how much they differ. */
export const shortestNoiseS = 1.6
const segmentS = 1
/** As a room is learnt elsewhere: 8192 samples at 48 kHz, the next power of two at other rates. */
const smoothS = 0.17
const tenthS = 0.1
/** Correlation of neighbouring Hann-windowed, half-overlapped segments' powers (Welch 1967, section 4): (1/6)^2. */
const overlapCorrelation = 1 / 36
/** Equivalent noise bandwidth of a Hann window, bins: Gaussian noise says so much less in a band. */
const hannBandwidthBins = 1.5

/** @throws Problem for a rate outside 8 to 192 kHz or a take under `shortestNoiseS`. */
export function noiseFigures(
  samples: Float32Array,
  sampleRateHz: number,
  strings: readonly RoomString[],
): NoiseFigures {
  checkRate(sampleRateHz)
  const durationS = samples.length / sampleRateHz
  if (durationS < shortestNoiseS) {
    throw new Problem(`${durationS.toFixed(2)} s is below ${shortestNoiseS} s`, 'samples')
  }
  let peak = 0
  for (const sample of samples) peak = Math.max(peak, Math.abs(sample))
  const bands = thirdOctaves(sampleRateHz / 2)
  const { fine, loudest, powers } = segmented(samples, sampleRateHz, bands)
  const segments = powers[0]?.length ?? 0
  let smooth = 16
  while (smooth < smoothS * sampleRateHz) smooth *= 2
  return {
    sampleRateHz,
    durationS,
    levelDbfs: dbFromPowerRatio(powerOfSpan(samples, 0, samples.length)),
    peakDbfs: dbFromAmplitudeRatio(peak),
    thirdOctaves: bands.map((band, i) => bandLevel(band, powers[i])),
    spectrum: welch(samples, sampleRateHz, smooth),
    fineSpectrum: fine,
    loudestSpectrum: loudest,
    segments,
    tenthPowers: tenths(samples, sampleRateHz),
    lines: steadyLines(samples, sampleRateHz, strings),
    strings,
  }
}

/** @throws Problem outside what every part of the bench takes. */
export function checkRate(sampleRateHz: number): void {
  if (!(sampleRateHz >= 8000 && sampleRateHz <= 192000))
    throw new Problem(`${sampleRateHz} is not between 8000 and 192000 Hz`, 'sampleRateHz')
}

/** Mean density, and each band's power in each segment. */
function segmented(samples: Float32Array, sampleRateHz: number, bands: readonly ThirdOctave[]) {
  const length = Math.round(segmentS * sampleRateHz)
  const segment = new SegmentDensity(length, sampleRateHz)
  const own = new Float64Array(segment.bins)
  const density = new Float64Array(segment.bins)
  const loudest = new Float64Array(segment.bins)
  const powers: number[][] = bands.map(() => [])
  let count = 0
  for (let from = 0; from + length <= samples.length; from += length >> 1) {
    segment.of(samples, from, own)
    for (let bin = 0; bin < own.length; bin++) {
      density[bin] += own[bin]
      if (own[bin] > loudest[bin]) loudest[bin] = own[bin]
    }
    for (const [i, { lowHz, highHz }] of bands.entries()) {
      powers[i].push(powerBetween(own, segment.binHz, lowHz, highHz))
    }
    count++
  }
  for (let bin = 0; bin < density.length; bin++) density[bin] /= count
  const { binHz } = segment
  return { fine: { binHz, density }, loudest: { binHz, density: loudest }, powers }
}

function bandLevel(band: ThirdOctave, powers: readonly number[]): ThirdOctaveLevel {
  const n = powers.length
  const mean = powers.reduce((sum, power) => sum + power, 0) / n
  const variance = powers.reduce((sum, power) => sum + (power - mean) ** 2, 0) / (n - 1)
  const inflated = 1 + 2 * overlapCorrelation * (1 - 1 / n)
  // Powers of one segment in Gaussian noise have two degrees a resolved bin.
  const gaussian = (2 * n * Math.max(1, ((band.highHz - band.lowHz) * segmentS) / hannBandwidthBins)) / inflated
  const seen = variance > 0 ? (2 * n * mean * mean) / (variance * inflated) : gaussian
  const freedom = Math.max(1, Math.min(gaussian, seen))
  const { low, high } = powerInterval(freedom)
  return {
    ...band,
    levelDbfs: dbFromPowerRatio(mean),
    lowDbfs: dbFromPowerRatio(mean * low),
    highDbfs: dbFromPowerRatio(mean * high),
    freedom,
  }
}

function tenths(samples: Float32Array, sampleRateHz: number): Float64Array {
  const length = Math.round(tenthS * sampleRateHz)
  return Float64Array.from({ length: Math.floor(samples.length / length) }, (_, i) =>
    powerOfSpan(samples, i * length, (i + 1) * length),
  )
}
