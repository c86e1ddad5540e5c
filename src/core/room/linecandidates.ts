/**
 * Where a take's spectrum stands out of what surrounds it: candidates for steady tones.
 *
 * One transform of the whole take under a Blackman-Harris window (Harris 1978, Table I: side lobes 92 dB down, so that a loud
 * hum makes no lines beside itself). In Gaussian noise the power of a bin over its mean is exponentially distributed; the
 * mean is taken from the median of 150 resolved bins around. Of n independent bins the highest passes t times the mean with
 * chance n e^-t; n grows with the take, and so does the threshold.
 */
import { RealFourier } from '../maths/fourier.ts'
import { blackmanHarris } from '../maths/windows.ts'

export interface Candidate {
  readonly hz: number
  /** Power of its bin over the mean of the noise's bins around. */
  readonly overMean: number
  /** One-sided density of the noise around, take units squared per Hz. */
  readonly floorDensity: number
}

export const lowestLineHz = 20
/** Half the width of the surroundings, resolved bins. */
const aroundBins = 96
/** The window's main lobe and a bin more: nothing weaker is told within. */
const lobeBins = 5
/**
 * Half-width, Hz, of the band that a tone must be three fifths of. A rhythm that repeats puts lines of its own beside one
 * another, a few Hz apart, and what comes and goes spreads; a tone below all else within a partial's width harms no reading.
 */
const bandHz = 10
const leastShare = 0.6
/** More lines than that are a buzz, and its first sixty say so. */
const mostCandidates = 80
/** e^-t averaged over how far a median of 150 bins (its deviation 12 %) is off: t must be larger by t^2 0.12^2 / 2. */
const medianDeviation = 0.12

/** Times the mean that noise passes somewhere in the band with chance `rate`. */
export function lineThreshold(bandHz: number, durationS: number, rate: number): number {
  // Peaks are looked for between bins too: twice as many chances as resolved bins.
  const t = Math.log((2 * bandHz * durationS) / rate)
  return t + (t * t * medianDeviation ** 2) / 2
}

/** Strongest first. `rate`: chance that Gaussian noise gives any. */
export function lineCandidates(
  samples: Float32Array,
  rateHz: number,
  highestHz: number,
  rate: number,
): readonly Candidate[] {
  const length = samples.length
  let size = 64
  while (size < 2 * length) size *= 2
  const window = blackmanHarris(length)
  const frame = new Float64Array(size)
  let mean = 0
  for (const sample of samples) mean += sample / length
  let squares = 0
  for (let i = 0; i < length; i++) {
    frame[i] = window[i] * (samples[i] - mean)
    squares += window[i] * window[i]
  }
  const power = new Float64Array(size / 2 + 1)
  new RealFourier(size).power(frame, power)
  const padding = size / length
  const threshold = lineThreshold(highestHz - lowestLineHz, length / rateHz, rate)
  const first = Math.max(2, Math.ceil((lowestLineHz * size) / rateHz))
  const last = Math.min(size / 2 - 2, Math.floor((highestHz * size) / rateHz))
  const peaks: number[] = []
  for (let bin = first; bin <= last; bin++) {
    if (power[bin] > power[bin - 1] && power[bin] >= power[bin + 1]) peaks.push(bin)
  }
  const coarse = blockMeans(power, Math.round(2 * aroundBins * padding))
  const standing = peaks.filter((bin) => power[bin] > 0.4 * threshold * coarse(bin)).sort((a, b) => power[b] - power[a])
  const found: { bin: number; candidate: Candidate }[] = []
  for (const bin of standing) {
    if (found.length >= mostCandidates) break
    if (found.some((one) => Math.abs(one.bin - bin) < lobeBins * padding)) continue
    const floor = meanAround(power, bin, padding)
    if (!(power[bin] > threshold * floor)) continue
    if (shareOf(power, bin, padding, (bandHz * size) / rateHz) < leastShare) continue
    const [left, top, right] = [-1, 0, 1].map((step) => Math.log(power[bin + step] || Number.MIN_VALUE))
    const bend = left - 2 * top + right
    const hz = ((bin + (bend < 0 ? (0.5 * (left - right)) / bend : 0)) * rateHz) / size
    const floorDensity = (2 * floor) / (rateHz * squares)
    found.push({ bin, candidate: { hz, overMean: power[bin] / floor, floorDensity } })
  }
  return found.map(({ candidate }) => candidate)
}

/** The median of an exponential distribution is ln 2 of its mean. */
const medianOfMean = Math.LN2

/** A quick floor: means, by the median, of blocks. */
function blockMeans(power: Float64Array, width: number): (bin: number) => number {
  const means = Array.from({ length: Math.ceil(power.length / width) }, (_, block) => {
    const part = power.slice(block * width, (block + 1) * width).sort()
    return part[part.length >> 1] / medianOfMean
  })
  // The lower of two neighbours: a steep floor hides no candidate.
  return (bin) => {
    const block = Math.floor(bin / width)
    return Math.min(means[block], means[Math.max(0, block - 1)], means[Math.min(means.length - 1, block + 1)])
  }
}

/** Mean around a bin, its own lobe left out, by the median of either side: on a slope their geometric mean. */
function meanAround(power: Float64Array, bin: number, padding: number): number {
  const lobe = Math.round(lobeBins * padding)
  const reach = Math.round(aroundBins * padding)
  const least = Math.max(1, bin - reach)
  const around = new Float64Array(2 * reach)
  let count = 0
  for (let j = least; j <= Math.min(power.length - 1, bin + reach); j++) {
    if (Math.abs(j - bin) > lobe) around[count++] = power[j]
  }
  const sorted = around.subarray(0, count).sort()
  return sorted[count >> 1] / medianOfMean
}

/** Power of a bin's lobe over that of all within `reach` bins of it. */
function shareOf(power: Float64Array, bin: number, padding: number, reach: number): number {
  const lobe = Math.round(lobeBins * padding)
  let [own, all] = [0, 0]
  for (let j = Math.max(0, Math.ceil(bin - reach)); j <= Math.min(power.length - 1, bin + reach); j++) {
    all += power[j]
    if (Math.abs(j - bin) <= lobe) own += power[j]
  }
  return own / all
}
