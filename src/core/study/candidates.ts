/**
 * What a period follower weighed in one frame: every dip or peak of its own curve, with the score it was judged by.
 *
 * The curve is computed anew from the frame by the formulas of the method itself (yin.ts, mpm.ts, acf.ts; their sources
 * stand there), so it shows what was really weighed; tests hold it against the readings. A method that is not known here,
 * or that heard the sound through a filter, gives null: nothing is guessed.
 */
import { hann } from '../maths/windows.ts'
import { LagProducts } from '../methods/lagproducts.ts'
import type { Stream } from '../methods/method.ts'
import { periodRange } from '../methods/periodrange.ts'
import { refine, type Turn } from '../methods/refine.ts'

export interface Candidate {
  readonly hz: number
  readonly score: number
}

export interface Weighed {
  /** What the scores are. */
  readonly score: 'difference' | 'clarity' | 'strength'
  /** The method takes low scores (dips) or high ones (peaks). */
  readonly better: 'low' | 'high'
  /** The first candidate past this, counted from the highest pitch, wins; null: the best does. */
  readonly threshold: number | null
  /** From the highest pitch to the lowest: the order in which a period follower meets them. */
  readonly candidates: readonly Candidate[]
}

/** Methods whose candidates are known. */
export const weighingMethods: readonly string[] = ['yin', 'mpm', 'acf']

/**
 * @param frame the evidence of one reading, as long as the method's window.
 * @param values all settings of the method.
 */
export function weighedBy(
  method: string,
  frame: Float32Array,
  stream: Stream,
  values: Readonly<Record<string, number>>,
): Weighed | null {
  if (!weighingMethods.includes(method) || (values.lowPassHz ?? 0) > 0 || frame.length !== values.window) return null
  switch (method) {
    case 'yin':
      return yin(frame, stream, values.threshold)
    case 'mpm':
      return mpm(frame, stream, values.cutoff)
    default:
      return acf(frame, stream, values.octaveCost)
  }
}

function yin(frame: Float32Array, stream: Stream, threshold: number): Weighed {
  const { shortestLag, longestLag, lags } = periodRange(stream, frame.length)
  const integration = frame.length - lags
  const difference = new Float64Array(lags + 1)
  new LagProducts(frame.length, lags, 'fixed').of(frame, difference)
  const normalised = new Float64Array(lags + 1).fill(1)
  const energyAtZero = difference[0]
  let energy = energyAtZero
  let sum = 0
  difference[0] = 0
  for (let lag = 1; lag <= lags; lag++) {
    energy += frame[lag - 1 + integration] ** 2 - frame[lag - 1] ** 2
    difference[lag] = Math.max(0, energyAtZero + energy - 2 * difference[lag])
    sum += difference[lag]
    normalised[lag] = sum > 0 ? (difference[lag] * lag) / sum : 1
  }
  const candidates: Candidate[] = []
  for (let lag = shortestLag; lag <= longestLag; lag++) {
    if (!(normalised[lag] <= normalised[lag - 1] && normalised[lag] < normalised[lag + 1])) continue
    candidates.push({ hz: stream.sampleRateHz / turnAt(difference, lag, -1).position, score: normalised[lag] })
  }
  return { score: 'difference', better: 'low', threshold, candidates }
}

function mpm(frame: Float32Array, stream: Stream, cutoff: number): Weighed {
  const { shortestLag, longestLag, lags } = periodRange(stream, frame.length)
  const curve = new Float64Array(lags + 1)
  new LagProducts(frame.length, lags, 'shrinking').of(frame, curve)
  const total = 2 * curve[0]
  let energy = total
  for (let lag = 0; lag <= lags; lag++) {
    curve[lag] = energy > 1e-12 * total ? (2 * curve[lag]) / energy : 0
    energy -= frame[lag] ** 2 + frame[frame.length - 1 - lag] ** 2
  }
  const candidates: Candidate[] = []
  let lag = 1
  while (lag <= longestLag && curve[lag] > 0) lag++
  while (lag <= longestLag) {
    while (lag <= longestLag && curve[lag] <= 0) lag++
    let best = 0
    for (; lag <= longestLag && curve[lag] > 0; lag++) {
      const isPeak = curve[lag] >= curve[lag - 1] && curve[lag] > curve[lag + 1]
      if (isPeak && lag >= shortestLag && (best === 0 || curve[lag] > curve[best])) best = lag
    }
    if (best === 0) continue
    candidates.push({ hz: stream.sampleRateHz / turnAt(curve, best, 1).position, score: curve[best] })
  }
  const highest = Math.max(0, ...candidates.map(({ score }) => score))
  return { score: 'clarity', better: 'high', threshold: cutoff * highest, candidates }
}

function acf(frame: Float32Array, stream: Stream, octaveCost: number): Weighed {
  const { length } = frame
  const { shortestLag, longestLag, lags } = periodRange(stream, length)
  const products = new LagProducts(length, lags, 'shrinking')
  const taper = hann(length)
  const taperSum = taper.reduce((sum, weight) => sum + weight, 0)
  const mean = frame.reduce((sum, value, i) => sum + value * taper[i], 0) / taperSum
  const undo = new Float64Array(lags + 1)
  products.of(taper, undo)
  const curve = new Float64Array(lags + 1)
  products.of(
    Float64Array.from(frame, (value, i) => (value - mean) * taper[i]),
    curve,
  )
  const [power, taperPower] = [curve[0], undo[0]]
  for (let lag = 0; lag <= lags; lag++) curve[lag] = power > 0 ? (curve[lag] * taperPower) / (power * undo[lag]) : 0
  const candidates: Candidate[] = []
  for (let lag = shortestLag; lag <= longestLag; lag++) {
    if (!(curve[lag] > 0 && curve[lag] >= curve[lag - 1] && curve[lag] > curve[lag + 1])) continue
    const { position, value } = turnAt(curve, lag, 1)
    const price = octaveCost * Math.log2((stream.lowestHz * position) / stream.sampleRateHz)
    candidates.push({ hz: stream.sampleRateHz / position, score: (value > 1 ? 1 / value : value) - price })
  }
  return { score: 'strength', better: 'high', threshold: null, candidates }
}

function turnAt(curve: Float64Array, lag: number, sign: 1 | -1): Turn {
  const turn: Turn = { position: 0, value: 0 }
  refine(curve, lag, sign, turn)
  return turn
}

/** At most this many can be looked through; the rest are noise. */
const mostShown = 6

/** The best of them, best first, and always the one that is `taken` (NaN: declined), however it scored. */
export function foremost({ candidates, better }: Weighed, taken: number): readonly Candidate[] {
  const sign = better === 'low' ? 1 : -1
  const sorted = [...candidates].sort((a, b) => sign * (a.score - b.score))
  const chosen = sorted.find(({ hz }) => isTaken(hz, taken))
  const first = sorted.slice(0, mostShown)
  return chosen === undefined || first.includes(chosen) ? first : [...first.slice(0, mostShown - 1), chosen]
}

/** The same place of the same curve, refined twice: equal but for rounding. */
export const isTaken = (hz: number, taken: number): boolean => Math.abs(1200 * Math.log2(hz / taken)) < 0.01
