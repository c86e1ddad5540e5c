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
import type { Field, Values } from '../fields.ts'
import { FrameSpectrum } from './framespectrum.ts'
import { frameFields, framewise, lowPassFields } from './framewise.ts'
import { method, type Stream } from './method.ts'
import { middleOf } from './middle.ts'
import type { PitchCurve } from './pitchcurve.ts'

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
  ...lowPassFields,
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
  open: (stream, values) => framewise(stream, values, openHarmonicSum(stream, values).analyse),
})

/** Its sums over pitches, frame by frame. */
export function openHarmonicSum(stream: Stream, values: Values<typeof fields>): PitchCurve {
  const { harmonics } = values
  const heardHz = Math.max(topHz, 1.6 * stream.highestHz)
  const spectrum = new FrameSpectrum(values.window, stream.sampleRateHz, heardHz)
  const { power, binHz, padding } = spectrum
  const bins = Math.min(power.length, Math.ceil(heardHz / binHz) + 1)
  // Two more, always 0, for what lies above.
  const surprise = new Float64Array(bins + 2)
  const band = new Float64Array(Math.min(bins, Math.round(noiseBins * padding)))
  const octaves = Math.log2(stream.highestHz / stream.lowestHz)
  const pitches = Float64Array.from(
    { length: Math.floor((octaves * 1200) / stepCents) + 1 },
    (_, i) => stream.lowestHz * 2 ** ((i * stepCents) / 1200),
  )
  const heard = (place: number): number => (Math.floor(place) + 1 < bins ? place : bins)
  // Where each pitch looks, in bins: the middle below harmonic 1, then each harmonic and the middle above it.
  const stride = 2 * harmonics + 1
  const places = new Float64Array(stride * pitches.length)
  const counts = new Int32Array(pitches.length)
  pitches.forEach((pitch, i) => {
    const step = pitch / binHz
    counts[i] = Math.max(0, Math.min(harmonics, Math.ceil((bins - 1) / step) - 1))
    for (let k = 0; k < stride; k++) places[stride * i + k] = heard(0.5 * (k + 1) * step)
  })
  const weights = Float64Array.from({ length: harmonics }, (_, n) => weightRatio ** n)

  const at = (place: number): number => {
    const bin = place | 0
    return surprise[bin] + (place - bin) * (surprise[bin + 1] - surprise[bin])
  }
  const score = (pitch: number): number => {
    const count = counts[pitch]
    let place = stride * pitch
    let sum = 0
    let between = at(places[place++])
    for (let n = 0; n < count; n++) {
      const line = at(places[place++])
      const above = at(places[place++])
      sum += weights[n] * (line - 0.5 * (between + above))
      between = above
    }
    return sum
  }

  const scores = new Float64Array(pitches.length)
  return {
    hz: pitches,
    scores,
    analyse(frame, estimate) {
      spectrum.load(frame)
      compress(power, surprise, bins, band)
      let best = 0
      let bestScore = Number.NEGATIVE_INFINITY
      for (let i = 0; i < pitches.length; i++) {
        const sum = score(i)
        scores[i] = sum
        if (sum > bestScore) {
          bestScore = sum
          best = pitches[i]
        }
      }
      if (!(bestScore > noiseLikeScore)) return
      let sum = 0
      let allWeights = 0
      const near = Math.max(1, padding)
      for (let n = 1; n <= harmonics && n * best < (bins - 2) * binHz; n++) {
        const centre = (n * (allWeights > 0 ? sum / allWeights : best)) / binHz
        const peak = spectrum.peakBin(Math.ceil(centre - near), Math.floor(centre + near))
        // Under a ratio of e^2 a peak is as likely noise.
        if (peak < 0 || surprise[peak] < 2) continue
        // A line's own deviation falls as its ratio, and counts 1/n in the pitch.
        const weight = n * n * Math.min(surprise[peak], 12) ** 2 * weightRatio ** (2 * n)
        sum += (weight * spectrum.parabolaHz(peak)) / n
        allWeights += weight
      }
      const f0Hz = allWeights > 0 ? sum / allWeights : best
      if (!(f0Hz >= stream.lowestHz && f0Hz <= stream.highestHz)) return
      estimate.f0Hz = f0Hz
      estimate.confidence = 1 - noiseLikeScore / bestScore
    },
  }
}

/** log(1 + power over the median of its band) of the first `bins`; bands joined by straight lines. */
function compress(power: Float64Array, surprise: Float64Array, bins: number, band: Float64Array): void {
  const width = band.length
  let last = Number.NaN
  let lastMiddle = 0
  for (let start = 0; ; start += width) {
    const from = Math.min(start, bins - width)
    for (let i = 0; i < width; i++) band[i] = power[from + i]
    // The median of exponentially distributed powers is ln 2 of their mean.
    const noise = Math.max(Number.MIN_VALUE, middleOf(band) / Math.LN2)
    const middle = from + (width >> 1)
    if (Number.isNaN(last)) last = noise
    for (let i = lastMiddle; i < middle; i++) {
      surprise[i] = Math.log(1 + power[i] / (last + ((noise - last) * (i - lastMiddle)) / (middle - lastMiddle)))
    }
    last = noise
    lastMiddle = middle
    if (from + width >= bins) break
  }
  for (let i = lastMiddle; i < bins; i++) surprise[i] = Math.log(1 + power[i] / last)
}
