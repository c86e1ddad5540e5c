/**
 * Sub-harmonic summation: every component votes for all pitches it could be a harmonic of.
 *
 * Hermes 1988, "Measurement of pitch by subharmonic summation", JASA 83:257-264. Steps, from memory: amplitude spectrum up to
 * 1250 Hz; everything further than two bins from a local maximum is set to zero; smoothed by 1/4, 1/2, 1/4; laid on a
 * logarithmic axis of 48 points an octave by cubic interpolation; weighed by an arctangent that favours what lies above the
 * lowest pitches, as hearing does; then H(s) = sum of 0.84^(n - 1) P(s + log2 n) over n = 1..15 (the paper's main equation),
 * whose highest point, by a parabola, is the pitch. Cubic convolution stands in for the paper's splines, and the
 * spectrum is that of the stream's own rate. The paper has no gate: it answers whatever sounds, noise too.
 * A grid of 25 c read by a parabola is good to a few cents. A stiff string reads sharp.
 */
import type { Field, Values } from '../fields.ts'
import { FrameSpectrum } from './framespectrum.ts'
import { frameFields, framewise, lowPassFields } from './framewise.ts'
import { method, type Stream } from './method.ts'
import type { PitchCurve } from './pitchcurve.ts'

const fields = {
  ...frameFields,
  harmonics: {
    default: 15,
    min: 1,
    max: 30,
    unit: 'count',
    whole: true,
    help: 'How many sub-harmonics a component votes for.',
  },
  topHz: { default: 1250, min: 200, max: 10000, unit: 'Hz', help: 'Nothing above is heard. The paper has 1250 Hz.' },
  ...lowPassFields,
} as const satisfies Record<string, Field>

const perOctave = 48
const weightRatio = 0.84

/** Half weight here, about an octave wide: the paper's curve (from memory) rises over the lowest pitches of speech. */
const sensitivityHalfHz = 50

export const shs = method({
  id: 'shs',
  title: 'Sub-harmonic summation',
  source: 'Hermes 1988, JASA 83:257-264',
  family: 'blind',
  fields,
  open: (stream, values) => framewise(stream, values, openShs(stream, values).analyse),
})

/** Its sums over pitches, frame by frame. */
export function openShs(stream: Stream, values: Values<typeof fields>): PitchCurve {
  const topHz = Math.min(values.topHz, 0.45 * stream.sampleRateHz)
  // A few bins more, for peaks at the upper edge and the curve between bins.
  const spectrum = new FrameSpectrum(
    values.window,
    stream.sampleRateHz,
    topHz + (8 * stream.sampleRateHz) / values.window,
  )
  const { power, binHz } = spectrum
  const bins = Math.min(power.length - 3, Math.ceil(topHz / binHz) + 3)
  const reach = Math.max(1, Math.round(2 * spectrum.padding))
  const amplitude = new Float64Array(bins + 3)
  const peaks = new Float64Array(bins + 3)
  const smooth = new Float64Array(bins + 3)
  const points = Math.max(3, Math.floor(perOctave * Math.log2(topHz / stream.lowestHz)) + 1)
  const hz = Float64Array.from({ length: points }, (_, i) => stream.lowestHz * 2 ** (i / perOctave))
  const sensitivity = hz.map((f) => 0.5 + Math.atan(3 * Math.log2(f / sensitivityHalfHz)) / Math.PI)
  const heard = new Float64Array(points)
  const sums = new Float64Array(points)
  const shift = Int32Array.from({ length: values.harmonics }, (_, n) => Math.round(perOctave * Math.log2(n + 1)))

  return {
    hz,
    scores: sums,
    analyse(frame, estimate) {
      spectrum.load(frame)
      for (let i = 0; i < amplitude.length; i++) amplitude[i] = Math.sqrt(power[i])
      peaks.fill(0)
      for (let i = 1; i < bins; i++) {
        if (!(amplitude[i] > amplitude[i - 1] && amplitude[i] >= amplitude[i + 1])) continue
        for (let j = Math.max(0, i - reach); j <= Math.min(bins, i + reach); j++) peaks[j] = amplitude[j]
      }
      for (let i = 1; i <= bins; i++) smooth[i] = 0.25 * (peaks[i - 1] + peaks[i + 1]) + 0.5 * peaks[i]
      for (let i = 0; i < points; i++) heard[i] = sensitivity[i] * cubic(smooth, hz[i] / binHz)
      sums.fill(0)
      let weight = 1
      for (let n = 0; n < shift.length; n++) {
        for (let i = 0; i + shift[n] < points; i++) sums[i] += weight * heard[i + shift[n]]
        weight *= weightRatio
      }
      let best = 1
      for (let i = 2; i < points - 1; i++) if (sums[i] > sums[best]) best = i
      const bend = sums[best - 1] - 2 * sums[best] + sums[best + 1]
      if (!(sums[best] > 0 && bend < 0)) return
      const turn = (0.5 * (sums[best - 1] - sums[best + 1])) / bend
      const f0Hz = hz[best] * 2 ** (turn / perOctave)
      if (!(Math.abs(turn) <= 1 && f0Hz >= stream.lowestHz && f0Hz <= stream.highestHz)) return
      estimate.f0Hz = f0Hz
      // The share of all that was heard which this pitch explains, its harmonics counted as they are weighed.
      let all = 0
      for (let i = 0; i < points; i++) all += heard[i]
      estimate.confidence = Math.min(1, sums[best] / all)
    },
  }
}

/** Cubic convolution (Keys 1981, IEEE Trans. ASSP 29:1153-1160) at a place between samples. */
function cubic(values: Float64Array, place: number): number {
  const i = Math.max(1, Math.min(values.length - 3, Math.floor(place)))
  const t = place - i
  const a = values[i - 1]
  const b = values[i]
  const c = values[i + 1]
  const d = values[i + 2]
  return Math.max(0, b + 0.5 * t * (c - a + t * (2 * a - 5 * b + 4 * c - d + t * (3 * (b - c) + d - a))))
}
