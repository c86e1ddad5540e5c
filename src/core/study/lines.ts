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

/** Making a transform takes longer than using it. A handful of sizes: powers of two up to twice the longest span. */
const fouriers = new Map<number, RealFourier>()

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
  const fourier = fouriers.get(size) ?? new RealFourier(size)
  fouriers.set(size, fourier)
  let windowSum = 0
  for (let i = 0; i < length; i++) {
    const weight = 0.5 - 0.5 * Math.cos((2 * Math.PI * i) / length)
    windowSum += weight
    frame[i] = weight * samples[from + i]
  }
  const power = new Float64Array(size / 2 + 1)
  fourier.power(frame, power)

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

/** A note of two beats a second at least lasts as long, and it resolves 3 Hz. At 48 kHz the transform is one of 32768. */
const noteS = 0.34
/** Of the string, as everywhere. */
const foreignS = 1
/** Tones below any string only shake the picture. */
const lowestForeignHz = 25
/** A low string's ten partials leave out what a stage is loudest at. */
const leastTopHz = 600
/** Ten partials and a little air above them. */
const shownPartials = 10.6

/** Up to where lines are looked for, Hz. */
export const foreignTopHz = (f1Hz: number, sampleRateHz: number): number =>
  Math.max(leastTopHz, Math.min(sampleRateHz / 2, f1Hz * shownPartials))

/**
 * The strongest line of a noise side in the first second after the onset; null: none stands out. Notes of a room come and go:
 * short spans are looked at one after the other, and the tallest line wins.
 * @returns `atS`: the middle of its span, from the start of the samples.
 */
export function foreignLine(
  noise: Float32Array,
  sampleRateHz: number,
  onsetS: number,
  f1Hz: number,
): { readonly line: Line; readonly atS: number } | null {
  const endS = Math.min(noise.length / sampleRateHz, onsetS + foreignS)
  const band = { lowHz: lowestForeignHz, highHz: foreignTopHz(f1Hz, sampleRateHz) }
  let best: { line: Line; atS: number } | null = null
  for (let fromS = onsetS; fromS === onsetS || fromS + noteS <= endS; fromS += noteS / 2) {
    const toS = Math.min(endS, fromS + noteS)
    const line = strongestLine(noise, sampleRateHz, { fromS, toS, ...band })
    if (line !== null && line.amplitude > (best?.line.amplitude ?? 0)) best = { line, atS: (fromS + toS) / 2 }
  }
  return best
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
