/**
 * The McLeod pitch method: the first high peak of a normalised square difference.
 *
 * McLeod & Wyvill 2005, "A smarter way to find pitch", Proc. ICMC: n(t) = 2 r(t) / m(t) lies in -1..1 (eq. 9), whatever
 * the level; a key maximum is the highest point between an upward and the next downward zero crossing; the pitch is the
 * first key maximum above k times the highest, and its height is the clarity. Interpolation is finer than the paper's
 * parabola (refine.ts). Lags are searched as far as the stream's range goes, so nothing below it can set the highest peak.
 * Declines when clarity is low. Hears nothing below two periods a window; the mean is not taken out, so a steady offset
 * larger than the sound hides it. A stiff string reads sharp.
 */
import { frameFields, framewise, lowPassFields } from './framewise.ts'
import { LagProducts } from './lagproducts.ts'
import { method } from './method.ts'
import { periodRange } from './periodrange.ts'
import { refine, type Turn } from './refine.ts'

const fields = {
  ...frameFields,
  cutoff: {
    default: 0.93,
    min: 0.5,
    max: 1,
    unit: 'ratio',
    help: 'k: the first peak at least this part of the highest is taken; the paper suggests 0.8 to 1.',
  },
  clarity: {
    default: 0.2,
    min: 0,
    max: 1,
    unit: 'ratio',
    help: 'Declines below this clarity. 0.2 is a steady tone 6 dB under white noise.',
  },
  ...lowPassFields,
} as const

/** Energy below this part of the frame's own is rounding left over by the running sum. */
const ROUNDING = 1e-12

/** Turns the lag products of `frame` in `curve` into n(t), eq. 9. */
export function normaliseProducts(curve: Float64Array, frame: Float32Array): void {
  const window = frame.length
  const total = 2 * curve[0]
  let energy = total
  for (let lag = 0; lag < curve.length; lag++) {
    curve[lag] = energy > ROUNDING * total ? (2 * curve[lag]) / energy : 0
    const first = frame[lag]
    const last = frame[window - 1 - lag]
    energy -= first * first + last * last
  }
}

/** Lags of the key maxima, rising, into `keys`; answers how many. At least two lags lie between one and the next. */
export function findKeys(curve: Float64Array, shortestLag: number, longestLag: number, keys: Int32Array): number {
  let count = 0
  let lag = 1
  while (lag <= longestLag && curve[lag] > 0) lag++
  while (lag <= longestLag) {
    while (lag <= longestLag && curve[lag] <= 0) lag++
    let best = 0
    for (; lag <= longestLag && curve[lag] > 0; lag++) {
      const isPeak = curve[lag] >= curve[lag - 1] && curve[lag] > curve[lag + 1]
      if (isPeak && lag >= shortestLag && (best === 0 || curve[lag] > curve[best])) best = lag
    }
    if (best !== 0) keys[count++] = best
  }
  return count
}

export const mpm = method({
  id: 'mpm',
  title: 'McLeod pitch method',
  source: 'McLeod & Wyvill 2005, Proc. International Computer Music Conference',
  family: 'blind',
  fields,
  open(stream, values) {
    const { window, cutoff, clarity } = values
    const range = periodRange(stream, window)
    const { shortestLag, longestLag, lags } = range
    const products = new LagProducts(window, lags, 'shrinking')
    const curve = new Float64Array(lags + 1)
    const keys = new Int32Array(Math.ceil(longestLag / 2) + 1)
    const turn: Turn = { position: 0, value: 0 }

    return framewise(stream, values, (frame, estimate) => {
      products.of(frame, curve)
      if (!(curve[0] > 0)) return
      normaliseProducts(curve, frame)
      const count = findKeys(curve, shortestLag, longestLag, keys)
      let highest = 0
      for (let i = 0; i < count; i++) highest = Math.max(highest, curve[keys[i]])
      if (highest < clarity) return
      for (let i = 0; i < count; i++) {
        if (curve[keys[i]] < cutoff * highest) continue
        refine(curve, keys[i], 1, turn)
        const f0Hz = stream.sampleRateHz / turn.position
        if (!range.holds(f0Hz)) return
        estimate.f0Hz = f0Hz
        estimate.confidence = Math.min(1, turn.value)
        return
      }
    })
  },
})
