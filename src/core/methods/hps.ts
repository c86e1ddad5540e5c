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
import { hann } from '../maths/windows.ts'
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

/**
 * Its sums of logarithms over pitches, frame by frame. Pitches are taken in cells as wide as a bin; a cell whose copies at their
 * highest stay under the best product is passed over, which changes no answer.
 */
export function openHps(stream: Stream, values: Values<typeof fields>): PitchCurve {
  const { harmonics, window } = values
  const { sampleRateHz, lowestHz } = stream
  const topHz = Math.min(stream.highestHz, (0.45 * sampleRateHz) / harmonics)
  const heardHz = harmonics * topHz + (4 * sampleRateHz) / window
  const spectrum = new FrameSpectrum(window, sampleRateHz, heardHz, hann(window), 'halved')
  const { power, binHz, padding } = spectrum
  const stepHz = (binHz * padding) / (harmonics * stepsPerBin)
  const points = Math.max(3, Math.floor((topHz - lowestHz) / stepHz) + 1)
  const products = new Float64Array(points)
  const bins = Math.min(power.length, Math.ceil((harmonics * topHz) / binHz) + 3)
  const level = new Float64Array(bins)
  const placeOf = (n: number, p: number): number => (n * lowestHz) / binHz + p * ((n * stepHz) / binHz)

  // What each bin's level weighs in the mean of all products.
  const shares = new Float64Array(bins)
  for (let n = 1; n <= harmonics; n++) {
    for (let p = 0; p < points; p++) {
      const bin = Math.round(placeOf(n, p))
      const t = placeOf(n, p) - bin
      shares[bin - 1] += (0.5 * t * (t - 1)) / points
      shares[bin] += (1 - t * t) / points
      shares[bin + 1] += (0.5 * t * (t + 1)) / points
    }
  }

  const cellPoints = Math.max(1, Math.round(binHz / stepHz))
  const cells = Math.ceil(points / cellPoints)
  // For each cell and copy the first and the last bin whose parabola it looks at.
  const reaches = new Int32Array(2 * harmonics * cells)
  for (let cell = 0, at = 0; cell < cells; cell++) {
    for (let n = 1; n <= harmonics; n++) {
      reaches[at++] = Math.round(placeOf(n, cell * cellPoints))
      reaches[at++] = Math.round(placeOf(n, Math.min(points, (cell + 1) * cellPoints) - 1))
    }
  }
  const tops = new Float64Array(bins)
  const ceilings = new Float64Array(cells)
  const isLooked = new Uint8Array(cells)

  /** No point of the parabola about a bin, half a bin to either side, lies above its top. */
  const raiseTops = (): void => {
    for (let i = 1; i + 1 < bins; i++) {
      const slope = 0.5 * (level[i + 1] - level[i - 1])
      const bend = 0.5 * (level[i - 1] - 2 * level[i] + level[i + 1])
      tops[i] = level[i] + 0.5 * Math.abs(slope) + (bend > 0 ? 0.25 * bend : 0)
    }
  }

  /** The cell with the highest ceiling. */
  const likeliest = (): number => {
    let likely = 0
    for (let cell = 0, at = 0; cell < cells; cell++) {
      let ceiling = 0
      for (let n = 1; n <= harmonics; n++) {
        const last = reaches[at + 1]
        let top = tops[last]
        for (let bin = reaches[at]; bin < last; bin++) if (tops[bin] > top) top = tops[bin]
        ceiling += top
        at += 2
      }
      ceilings[cell] = ceiling
      if (ceiling > ceilings[likely]) likely = cell
    }
    return likely
  }

  /** One cell of the spectrum compressed n times, by parabolas through three bins: one serves all points nearest its middle. */
  const addCopy = (n: number, cell: number): void => {
    const step = (n * stepHz) / binHz
    const end = Math.min(points, (cell + 1) * cellPoints)
    let p = cell * cellPoints
    while (p < end) {
      const place = placeOf(n, p)
      const bin = Math.round(place)
      const left = level[bin - 1]
      const middle = level[bin]
      const slope = 0.5 * (level[bin + 1] - left)
      const bend = 0.5 * (left - 2 * middle + level[bin + 1])
      for (let t = place - bin; t < 0.5 && p < end; p++, t += step) products[p] += middle + t * (slope + t * bend)
    }
  }
  const lookAt = (cell: number): void => {
    if (isLooked[cell] === 1) return
    isLooked[cell] = 1
    for (let n = 1; n <= harmonics; n++) addCopy(n, cell)
  }
  /** The highest product of a cell, if it exceeds that of `best`. */
  const bestOf = (cell: number, best: number): number => {
    lookAt(cell)
    const end = Math.min(points, (cell + 1) * cellPoints)
    let better = best
    for (let p = cell * cellPoints; p < end; p++) if (products[p] > products[better]) better = p
    return better
  }

  const hz = Float64Array.from({ length: points }, (_, p) => lowestHz + p * stepHz)
  return {
    hz,
    scores: products,
    lookAtAll() {
      for (let cell = 0; cell < cells; cell++) lookAt(cell)
    },
    analyse(frame, estimate) {
      products.fill(0)
      isLooked.fill(1)
      spectrum.load(frame)
      let strongest = 0
      for (let i = 0; i < bins; i++) if (power[i] > strongest) strongest = power[i]
      if (!(strongest > 0)) return
      isLooked.fill(0)
      const floor = floorRatio * strongest
      for (let i = 0; i < bins; i++) level[i] = power[i] > floor ? Math.log(power[i] / floor) : 0
      raiseTops()
      const likely = likeliest()
      let best = bestOf(likely, likely * cellPoints)
      for (let cell = 0; cell < cells; cell++) {
        if (ceilings[cell] >= products[best]) best = bestOf(cell, best)
      }
      // Two sums side by side: one would wait for itself at every bin.
      let even = 0
      let odd = 0
      for (let i = 0; i + 1 < bins; i += 2) {
        even += shares[i] * level[i]
        odd += shares[i + 1] * level[i + 1]
      }
      if (bins % 2 === 1) even += shares[bins - 1] * level[bins - 1]
      const mean = even + odd
      if (best === 0 || best === points - 1 || !(products[best] > mean + least)) return
      lookAt(Math.floor((best - 1) / cellPoints))
      lookAt(Math.floor((best + 1) / cellPoints))
      const bend = products[best - 1] - 2 * products[best] + products[best + 1]
      const turn = bend < 0 ? (0.5 * (products[best - 1] - products[best + 1])) / bend : 0
      estimate.f0Hz = lowestHz + (best + Math.max(-1, Math.min(1, turn))) * stepHz
      estimate.confidence = 1 - (mean + least) / products[best]
    },
  }
}
