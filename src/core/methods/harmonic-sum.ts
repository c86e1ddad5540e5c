/**
 * The pitch whose harmonics together stand out most: a weighted sum over a compressed spectrum.
 *
 * After Hermes 1988 (JASA 83:257-264): every pitch collects the spectrum at its harmonics with weights 0.84^(n-1). Two
 * changes. The spectrum is compressed to log(1 + power / noise), noise being the median of its surroundings, so that hum
 * or a bass line counts as one more harmonic and not as all of them. And what lies midway between the harmonics counts
 * against the pitch (as in Camacho & Harris 2008, JASA 124:1638-1652), or an octave below would always do as well.
 * The winner is refined by the mean of its peaks, each divided by its number: exact for harmonic sounds, sharp by a few
 * cents for a stiff string. Harmonics closer than four bins of the window are not told apart: low notes need long windows.
 */
import type { Field } from '../fields.ts'
import { FrameSpectrum } from './framespectrum.ts'
import { frameFields, framewise } from './framewise.ts'
import { method } from './method.ts'

const fields = {
  ...frameFields,
  harmonics: {
    default: 10,
    min: 1,
    max: 20,
    unit: 'count',
    whole: true,
    help: 'How many harmonics of a pitch are summed; those above 5 kHz never are.',
  },
} as const satisfies Record<string, Field>

/** Hermes 1988, section I.A. */
const weightRatio = 0.84

/** Above this, stiff strings leave the harmonic grid and rooms hiss. */
const topHz = 5000

/** Fine enough that the tenth harmonic of the coarsest step stays inside half a line's width down to 60 Hz. */
const stepCents = 12

/** Medians are taken over this many unpadded bins: wider than any line, narrower than a room's tilt. */
const noiseBins = 40

/** Measured: in white and pink noise, windows of 2048 to 8192, the largest sum over all pitches stays under this in 99 % of frames. */
const noiseLikeScore = 4.3

export const harmonicSum = method({
  id: 'harmonic-sum',
  title: 'Harmonic sum',
  source: 'after Hermes 1988, JASA 83:257-264',
  family: 'blind',
  fields,
  open(stream, values) {
    const spectrum = new FrameSpectrum(values.window, stream.sampleRateHz)
    const { power, binHz, padding } = spectrum
    const bins = Math.min(power.length, Math.ceil(Math.max(topHz, 1.6 * stream.highestHz) / binHz) + 1)
    const surprise = new Float64Array(bins)
    const band = new Float64Array(Math.min(bins, Math.round(noiseBins * padding)))
    const octaves = Math.log2(stream.highestHz / stream.lowestHz)
    const pitches = Float64Array.from(
      { length: Math.floor((octaves * 1200) / stepCents) + 1 },
      (_, i) => stream.lowestHz * 2 ** ((i * stepCents) / 1200),
    )
    const at = (place: number): number => {
      const bin = Math.floor(place)
      return bin + 1 < bins ? surprise[bin] + (place - bin) * (surprise[bin + 1] - surprise[bin]) : 0
    }
    const score = (f0Hz: number): number => {
      const step = f0Hz / binHz
      let sum = 0
      let weight = 1
      let between = at(0.5 * step)
      for (let n = 1; n <= values.harmonics && n * step < bins - 1; n++) {
        const above = at((n + 0.5) * step)
        sum += weight * (at(n * step) - 0.5 * (between + above))
        between = above
        weight *= weightRatio
      }
      return sum
    }

    return framewise(stream, values, (frame, estimate) => {
      spectrum.load(frame)
      compress(power, surprise, band)
      let best = 0
      let bestScore = Number.NEGATIVE_INFINITY
      for (let i = 0; i < pitches.length; i++) {
        const pitch = pitches[i]
        const sum = score(pitch)
        if (sum > bestScore) {
          bestScore = sum
          best = pitch
        }
      }
      if (!(bestScore > noiseLikeScore)) return
      let sum = 0
      let weights = 0
      const near = Math.max(1, padding)
      for (let n = 1; n <= values.harmonics && n * best < (bins - 2) * binHz; n++) {
        const centre = (n * (weights > 0 ? sum / weights : best)) / binHz
        const peak = spectrum.peakBin(Math.ceil(centre - near), Math.floor(centre + near))
        // Under a ratio of e^2 a peak is as likely noise.
        if (peak < 0 || surprise[peak] < 2) continue
        // A line's own deviation falls as its ratio, and counts 1/n in the pitch.
        const weight = n * n * Math.min(surprise[peak], 12) ** 2 * weightRatio ** (2 * n)
        sum += (weight * spectrum.parabolaHz(peak)) / n
        weights += weight
      }
      const f0Hz = weights > 0 ? sum / weights : best
      if (!(f0Hz >= stream.lowestHz && f0Hz <= stream.highestHz)) return
      estimate.f0Hz = f0Hz
      estimate.confidence = 1 - noiseLikeScore / bestScore
    })
  },
})

/** log(1 + power over the median of its band); bands joined by straight lines. */
function compress(power: Float64Array, surprise: Float64Array, band: Float64Array): void {
  const width = band.length
  let last = Number.NaN
  let lastMiddle = 0
  for (let start = 0; ; start += width) {
    const from = Math.min(start, surprise.length - width)
    for (let i = 0; i < width; i++) band[i] = power[from + i]
    band.sort()
    // The median of exponentially distributed powers is ln 2 of their mean.
    const noise = Math.max(Number.MIN_VALUE, band[width >> 1] / Math.LN2)
    const middle = from + (width >> 1)
    if (Number.isNaN(last)) last = noise
    for (let i = lastMiddle; i < middle; i++) {
      surprise[i] = Math.log(1 + power[i] / (last + ((noise - last) * (i - lastMiddle)) / (middle - lastMiddle)))
    }
    last = noise
    lastMiddle = middle
    if (from + width >= surprise.length) break
  }
  for (let i = lastMiddle; i < surprise.length; i++) surprise[i] = Math.log(1 + power[i] / last)
}
