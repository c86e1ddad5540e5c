/**
 * Tones that stand out of a noise: where its strongest line is, and how far it rises above what surrounds it.
 *
 * One Hann-windowed transform of the whole span, zero-padded; the peak is refined by a parabola through three log powers.
 * In Gaussian noise the power of a bin is exponentially distributed, so a bin passes m times its median with probability
 * 2^-m. A tone passes 40 times the median around it: even where that median, of some forty bins, lies at half its true value,
 * plain noise does so once in a million bins. A note that fades or bends within
 * the span is a broader, lower line. Frequency is good to about a tenth of 1 / span for a steady tone that stands alone.
 */
import { RealFourier } from '../maths/fourier.ts'
import { dbFromPowerRatio } from '../maths/units.ts'

export interface Line {
  readonly hz: number
  /** Peak amplitude of a steady sinusoid of this height, take units. */
  readonly amplitude: number
  /** Power of the peak over the median around it. */
  readonly overFloorDb: number
}

export interface LineSpan {
  /** Seconds from the start of the samples. */
  readonly fromS: number
  readonly toS: number
  readonly lowHz: number
  readonly highHz: number
}

/** 16 dB; the head note says how rarely noise does it. */
const leastOverMedian = 40
/** Half the width, in resolved bins, of the surroundings whose median is the floor. */
const aroundBins = 24
/** The window's main lobe reaches two bins to either side of a line. */
const lobeBins = 3
/** Weaker peaks than the first few dozen are not the strongest line. */
const mostPeaks = 40
/** More than this resolves nothing that a person hears as one tone. */
const longestS = 2

/** The line with the most power in the band, or null when nothing stands out. */
export function strongestLine(
  samples: Float32Array,
  sampleRateHz: number,
  { fromS, toS, lowHz, highHz }: LineSpan,
): Line | null {
  const from = Math.max(0, Math.round(fromS * sampleRateHz))
  const to = Math.min(samples.length, Math.round(Math.min(toS, fromS + longestS) * sampleRateHz))
  const length = to - from
  if (!(length >= 64)) return null
  let size = 64
  while (size < 2 * length) size *= 2
  const frame = new Float64Array(size)
  let windowSum = 0
  for (let i = 0; i < length; i++) {
    const weight = 0.5 - 0.5 * Math.cos((2 * Math.PI * i) / length)
    windowSum += weight
    frame[i] = weight * samples[from + i]
  }
  const power = new Float64Array(size / 2 + 1)
  new RealFourier(size).power(frame, power)

  const binHz = sampleRateHz / size
  const first = Math.max(1, Math.ceil(lowHz / binHz))
  const last = Math.min(size / 2 - 1, Math.floor(highHz / binHz))
  const peaks: number[] = []
  for (let k = first; k <= last; k++) {
    if (power[k] > power[k - 1] && power[k] >= power[k + 1]) peaks.push(k)
  }
  peaks.sort((a, b) => power[b] - power[a])
  const padding = size / length
  const standing = peaks.slice(0, mostPeaks).find((k) => power[k] > leastOverMedian * floorAround(power, k, padding))
  if (standing === undefined) return null
  const [below, top, above] = [-1, 0, 1].map((step) => Math.log(power[standing + step] || Number.MIN_VALUE))
  const bend = below - 2 * top + above
  const shift = bend < 0 ? (0.5 * (below - above)) / bend : 0
  return {
    hz: (standing + shift) * binHz,
    amplitude: (2 * Math.sqrt(power[standing])) / windowSum,
    overFloorDb: dbFromPowerRatio(power[standing] / floorAround(power, standing, padding)),
  }
}

/** Median power around bin k, its own lobe left out. */
function floorAround(power: Float64Array, k: number, padding: number): number {
  const lobe = Math.round(lobeBins * padding)
  const reach = Math.round(aroundBins * padding)
  const around: number[] = []
  for (let j = Math.max(1, k - reach); j <= Math.min(power.length - 1, k + reach); j++) {
    if (Math.abs(j - k) > lobe) around.push(power[j])
  }
  around.sort((a, b) => a - b)
  return around[around.length >> 1] ?? Number.POSITIVE_INFINITY
}
