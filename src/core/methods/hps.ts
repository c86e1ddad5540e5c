/**
 * Harmonic product spectrum: the pitch at which compressed copies of the spectrum all stand high.
 *
 * Noll 1969, "Pitch determination of human speech by the harmonic product spectrum, the harmonic sum spectrum, and a maximum
 * likelihood estimate", Proc. Symp. Computer Processing in Communications, 779-797; from memory: the product over n = 1..R
 * of |X(n f)|^2, here its logarithm, R = 5. Powers below -60 dB re the strongest count as that: an empty bin must not
 * forbid a pitch alone. An octave below is refused by its odd harmonics, which stand at the floor; an octave above only by the
 * slope of the spectrum: ten equal harmonics have two equal products. The axis is a sixth of an unpadded bin at the fifth harmonic; the peak is read by
 * a parabola. A missing harmonic costs its whole level: weak firsts cause octave errors. A stiff string reads sharp.
 */
import type { Field, Values } from '../fields.ts'
import { FrameSpectrum } from './framespectrum.ts'
import { frameFields, framewise, lowPassFields } from './framewise.ts'
import { method, type Stream } from './method.ts'
import type { PitchCurve } from './pitchcurve.ts'

const fields = {
  ...frameFields,
  harmonics: {
    default: 5,
    min: 2,
    max: 10,
    unit: 'count',
    whole: true,
    help: 'How many compressed copies are multiplied.',
  },
  ...lowPassFields,
} as const satisfies Record<string, Field>

/** -60 dB. */
const floorRatio = 1e-6

/** Steps of an unpadded bin at the highest harmonic: a Hann line is then a parabola in dB over the three points used. */
const stepsPerBin = 6

/** Nepers by which the best product must exceed the mean of all; noise alone stays under in most frames. */
const least = 6

export const hps = method({
  id: 'hps',
  title: 'Harmonic product spectrum',
  source: 'Noll 1969, Proc. Symp. Computer Processing in Communications, 779-797',
  family: 'blind',
  fields,
  open: (stream, values) => framewise(stream, values, openHps(stream, values).analyse),
})

/** Its sums of logarithms over pitches, frame by frame. */
export function openHps(stream: Stream, values: Values<typeof fields>): PitchCurve {
  const { harmonics, window } = values
  const { sampleRateHz, lowestHz } = stream
  const topHz = Math.min(stream.highestHz, (0.45 * sampleRateHz) / harmonics)
  const spectrum = new FrameSpectrum(window, sampleRateHz, harmonics * topHz + (4 * sampleRateHz) / window)
  const { power, binHz, padding } = spectrum
  const stepHz = (binHz * padding) / (harmonics * stepsPerBin)
  const points = Math.max(3, Math.floor((topHz - lowestHz) / stepHz) + 1)
  const products = new Float64Array(points)
  const bins = Math.min(power.length, Math.ceil((harmonics * topHz) / binHz) + 3)
  const level = new Float64Array(bins)

  /** The spectrum compressed n times, by parabolas through three bins: one parabola serves all points nearest its middle. */
  const addCopy = (n: number): void => {
    let p = 0
    while (p < points) {
      const bin = Math.round((n * (lowestHz + p * stepHz)) / binHz)
      const left = level[bin - 1]
      const middle = level[bin]
      const slope = 0.5 * (level[bin + 1] - left)
      const bend = 0.5 * (left - 2 * middle + level[bin + 1])
      for (; p < points; p++) {
        const t = (n * (lowestHz + p * stepHz)) / binHz - bin
        if (t >= 0.5) break
        products[p] += middle + t * (slope + t * bend)
      }
    }
  }

  const hz = Float64Array.from({ length: points }, (_, p) => lowestHz + p * stepHz)
  return {
    hz,
    scores: products,
    analyse(frame, estimate) {
      spectrum.load(frame)
      let strongest = 0
      for (let i = 0; i < bins; i++) if (power[i] > strongest) strongest = power[i]
      if (!(strongest > 0)) return
      const floor = floorRatio * strongest
      for (let i = 0; i < bins; i++) level[i] = Math.log(power[i] > floor ? power[i] / floor : 1)
      products.fill(0)
      for (let n = 1; n <= harmonics; n++) addCopy(n)
      let best = 0
      let sum = 0
      for (let p = 0; p < points; p++) {
        sum += products[p]
        if (products[p] > products[best]) best = p
      }
      const mean = sum / points
      if (best === 0 || best === points - 1 || !(products[best] > mean + least)) return
      const bend = products[best - 1] - 2 * products[best] + products[best + 1]
      const turn = bend < 0 ? (0.5 * (products[best - 1] - products[best + 1])) / bend : 0
      estimate.f0Hz = lowestHz + (best + Math.max(-1, Math.min(1, turn))) * stepHz
      estimate.confidence = 1 - (mean + least) / products[best]
    },
  }
}
