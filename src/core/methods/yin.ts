/**
 * YIN: the lag at which a stretch of sound differs least from itself.
 *
 * Steps 1 to 5 of de Cheveigne & Kawahara 2002, "YIN, a fundamental frequency estimator for speech and music", JASA
 * 111:1917-1930: difference function (eq. 6, through energies and lag products, eq. 7), cumulative mean normalisation
 * (eq. 8), absolute threshold, interpolation; the place is read off the raw difference, which the normalisation does not
 * tilt. Two choices of ours: the dip is the deepest point of the first stretch under the threshold (noise cuts a dip
 * into several), and the interpolation is finer than the paper's parabola (refine.ts). Integration length is the window
 * less the longest lag. If no dip is deep enough the deepest of all is taken, as in the paper, unless it is too shallow.
 * Hears nothing below two periods a window (periodrange.ts); a stiff string reads sharp, as partials 2.. are no multiples.
 */
import { frameFields, framewise, lowPassFields } from './framewise.ts'
import { LagProducts } from './lagproducts.ts'
import { method } from './method.ts'
import { periodRange } from './periodrange.ts'
import { refine, type Turn } from './refine.ts'

const fields = {
  ...frameFields,
  threshold: {
    default: 0.1,
    min: 0.01,
    max: 0.9,
    unit: 'ratio',
    help: 'The first dip of the normalised difference below this is taken; 0.1 is the paper’s value.',
  },
  ceiling: {
    default: 0.8,
    min: 0.01,
    max: 2,
    unit: 'ratio',
    help: 'Declines when even the deepest dip stays above this. White noise alone stays above 0.9 with 4096 samples.',
  },
  ...lowPassFields,
} as const

/** Difference below this part of the energy is rounding, not sound: 4096 products at 1e-16 each, with room to spare. */
const ROUNDING = 1e-12

/**
 * Turns the lag products of `frame` in `difference` into the difference function (eq. 6 and 7) and fills `normalised` (eq. 8).
 * Answers the sum of all differences.
 */
export function normaliseDifferences(difference: Float64Array, normalised: Float64Array, frame: Float32Array): number {
  const lags = difference.length - 1
  const integration = frame.length - lags
  let energy = difference[0]
  const energyAtZero = energy
  let sum = 0
  difference[0] = 0
  normalised[0] = 1
  for (let lag = 1; lag <= lags; lag++) {
    const leaving = frame[lag - 1]
    const entering = frame[lag - 1 + integration]
    energy += entering * entering - leaving * leaving
    const value = Math.max(0, energyAtZero + energy - 2 * difference[lag])
    difference[lag] = value
    sum += value
    normalised[lag] = sum > 0 ? (value * lag) / sum : 1
  }
  return sum
}

export const isDip = (normalised: Float64Array, lag: number): boolean =>
  normalised[lag] <= normalised[lag - 1] && normalised[lag] < normalised[lag + 1]

export const yin = method({
  id: 'yin',
  title: 'YIN',
  source: 'de Cheveigné & Kawahara 2002, JASA 111:1917-1930',
  family: 'blind',
  fields,
  open(stream, values) {
    const { window, threshold, ceiling } = values
    const range = periodRange(stream, window)
    const { shortestLag, longestLag, lags } = range
    const products = new LagProducts(window, lags, 'fixed')
    const difference = new Float64Array(lags + 1)
    const normalised = new Float64Array(lags + 1)
    const turn: Turn = { position: 0, value: 0 }

    /** 0: no dip at all. */
    const chosenLag = (): number => {
      let deepest = 0
      let lag = shortestLag
      while (lag <= longestLag) {
        if (normalised[lag] >= threshold) {
          if (isDip(normalised, lag) && (deepest === 0 || normalised[lag] < normalised[deepest])) deepest = lag
          lag++
          continue
        }
        let best = 0
        for (; lag <= longestLag && normalised[lag] < threshold; lag++) {
          if (isDip(normalised, lag) && (best === 0 || normalised[lag] < normalised[best])) best = lag
        }
        if (best !== 0) return best
      }
      return deepest
    }

    return framewise(stream, values, (frame, estimate) => {
      products.of(frame, difference)
      const energyAtZero = difference[0]
      const sum = normaliseDifferences(difference, normalised, frame)
      if (!(sum > ROUNDING * lags * energyAtZero)) return
      const lag = chosenLag()
      if (lag === 0 || normalised[lag] > ceiling) return
      refine(difference, lag, -1, turn)
      const f0Hz = stream.sampleRateHz / turn.position
      if (!range.holds(f0Hz)) return
      estimate.f0Hz = f0Hz
      estimate.confidence = Math.max(0, 1 - normalised[lag])
    })
  },
})
