/**
 * Autocorrelation with the window taken out again, and a price on octaves.
 *
 * Boersma 1993, "Accurate short-term analysis of the fundamental frequency and the harmonics-to-noise ratio of a sampled
 * sound", IFA Proceedings 17:97-110: the frame, its mean removed (the weighted one: a plain mean over half a period too
 * many is not zero), is weighted by a Hann window; its normalised autocorrelation is divided by that of the window (eq. 9); every maximum is a candidate whose strength is its height
 * less octaveCost times log2(lowestHz lag) (eq. 26), so that of near-equal multiples of the period the shortest wins.
 * Heights above 1 (the division is not exact) count as their inverse. No path is traced from frame to frame, and there
 * is no loudness gate: it would tie readings to level. Interpolation by refine.ts in place of the paper's windowed sinc.
 * The paper wants three periods a window; between two and three the division grows noisy. A stiff string reads sharp.
 */
import { hann } from '../maths/windows.ts'
import { frameFields, framewise, lowPassFields } from './framewise.ts'
import { LagProducts } from './lagproducts.ts'
import { method } from './method.ts'
import { periodRange } from './periodrange.ts'
import { refine, type Turn } from './refine.ts'

const fields = {
  ...frameFields,
  octaveCost: {
    default: 0.01,
    min: 0,
    max: 0.5,
    unit: 'ratio',
    help: 'How much higher a peak must be for each octave it lies lower.',
  },
  voicing: {
    default: 0.2,
    min: 0,
    max: 1,
    unit: 'ratio',
    help: 'Declines when the highest peak stays under this. 0.2 is a steady tone 6 dB under white noise.',
  },
  ...lowPassFields,
} as const

/** Energy left below this part of the frame's raw energy is rounding of the mean's removal, not sound. */
const ROUNDING = 1e-13

/** How far a parabola through three samples can stay under the true peak, components up to a fifth of the rate: 0.05. */
const UNDERSHOOT = 0.05

/**
 * Fills `curve` with the autocorrelation of a frame of `window` samples, its window taken out (eq. 9), for every lag that `curve`
 * has. False: there is nothing but rounding.
 */
export function windowCorrected(window: number, lags: number): (frame: Float32Array, curve: Float64Array) => boolean {
  const products = new LagProducts(window, lags, 'shrinking')
  const taper = hann(window)
  const taperSum = taper.reduce((sum, weight) => sum + weight, 0)
  const weighted = new Float64Array(window)
  // r_w(0) / r_w(t): what undoes the window.
  const undo = new Float64Array(lags + 1)
  products.of(taper, undo)
  for (let lag = lags; lag >= 0; lag--) undo[lag] = undo[0] / undo[lag]
  return (frame, curve) => {
    let mean = 0
    let energy = 0
    for (let i = 0; i < window; i++) {
      mean += frame[i] * taper[i]
      energy += frame[i] * frame[i]
    }
    mean /= taperSum
    for (let i = 0; i < window; i++) weighted[i] = (frame[i] - mean) * taper[i]
    products.of(weighted, curve)
    if (!(curve[0] > ROUNDING * energy)) return false
    const scale = 1 / curve[0]
    for (let lag = 0; lag <= lags; lag++) curve[lag] *= scale * undo[lag]
    return true
  }
}

/** Lags of the positive peaks, rising, into `peaks`; answers how many. At least two lags lie between one and the next. */
export function findPeaks(curve: Float64Array, shortestLag: number, longestLag: number, peaks: Int32Array): number {
  let count = 0
  for (let lag = shortestLag; lag <= longestLag; lag++) {
    const height = curve[lag]
    if (height > 0 && height >= curve[lag - 1] && height > curve[lag + 1]) peaks[count++] = lag
  }
  return count
}

/** The division is not exact: heights above 1 count as their inverse. */
export const folded = (height: number): number => (height > 1 ? 1 / height : height)

export const acf = method({
  id: 'acf',
  title: 'Window-corrected autocorrelation',
  source: 'Boersma 1993, IFA Proceedings 17:97-110',
  family: 'blind',
  fields,
  open(stream, values) {
    const { window, octaveCost, voicing } = values
    const { sampleRateHz, lowestHz } = stream
    const range = periodRange(stream, window)
    const { shortestLag, longestLag, lags } = range
    const correct = windowCorrected(window, lags)
    const curve = new Float64Array(lags + 1)
    const turn: Turn = { position: 0, value: 0 }

    const priceAt = (lag: number): number => octaveCost * Math.log2((lowestHz * lag) / sampleRateHz)
    const price = Float64Array.from({ length: lags + 1 }, (_, lag) => priceAt(lag))
    const peaks = new Int32Array(Math.ceil(longestLag / 2) + 1)

    /** Strength of a peak by the parabola through its three samples. */
    const roughly = (lag: number): number => {
      const slope = curve[lag - 1] - curve[lag + 1]
      const bend = curve[lag - 1] - 2 * curve[lag] + curve[lag + 1]
      return folded(curve[lag] - (slope * slope) / (8 * bend)) - price[lag]
    }

    return framewise(stream, values, (frame, estimate) => {
      if (!correct(frame, curve)) return
      const count = findPeaks(curve, shortestLag, longestLag, peaks)
      let worthwhile = Number.NEGATIVE_INFINITY
      for (let i = 0; i < count; i++) worthwhile = Math.max(worthwhile, roughly(peaks[i]) - UNDERSHOOT)
      let bestStrength = Number.NEGATIVE_INFINITY
      let bestPosition = 0
      let bestHeight = 0
      for (let i = 0; i < count; i++) {
        const lag = peaks[i]
        if (roughly(lag) < worthwhile) continue
        refine(curve, lag, 1, turn)
        const strength = folded(turn.value) - priceAt(turn.position)
        if (strength <= bestStrength) continue
        bestStrength = strength
        bestPosition = turn.position
        bestHeight = folded(turn.value)
      }
      if (bestHeight < voicing || bestPosition === 0) return
      const f0Hz = sampleRateHz / bestPosition
      if (!range.holds(f0Hz)) return
      estimate.f0Hz = f0Hz
      estimate.confidence = Math.max(0, bestHeight)
    })
  },
})
