/**
 * What a period follower weighed in one frame: every dip or peak of its own curve, with the score it was judged by.
 *
 * The curve is computed anew from the frame by the method's own functions (yin.ts, mpm.ts, acf.ts), so it shows what was
 * really weighed; tests hold it against the readings. A method that is not known here,
 * or that heard the sound through a filter, gives null: nothing is guessed.
 */
import { findPeaks, folded, windowCorrected } from '../methods/acf.ts'
import { LagProducts } from '../methods/lagproducts.ts'
import type { Stream } from '../methods/method.ts'
import { findKeys, normaliseProducts } from '../methods/mpm.ts'
import { periodRange } from '../methods/periodrange.ts'
import { refine, type Turn } from '../methods/refine.ts'
import { isDip, normaliseDifferences } from '../methods/yin.ts'

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
  const difference = new Float64Array(lags + 1)
  const normalised = new Float64Array(lags + 1)
  new LagProducts(frame.length, lags, 'fixed').of(frame, difference)
  normaliseDifferences(difference, normalised, frame)
  const candidates: Candidate[] = []
  for (let lag = shortestLag; lag <= longestLag; lag++) {
    if (!isDip(normalised, lag)) continue
    candidates.push({ hz: stream.sampleRateHz / turnAt(difference, lag, -1).position, score: normalised[lag] })
  }
  return { score: 'difference', better: 'low', threshold, candidates }
}

function mpm(frame: Float32Array, stream: Stream, cutoff: number): Weighed {
  const { shortestLag, longestLag, lags } = periodRange(stream, frame.length)
  const curve = new Float64Array(lags + 1)
  new LagProducts(frame.length, lags, 'shrinking').of(frame, curve)
  normaliseProducts(curve, frame)
  const keys = new Int32Array(lags)
  const candidates = Array.from(keys.subarray(0, findKeys(curve, shortestLag, longestLag, keys)), (lag) => ({
    hz: stream.sampleRateHz / turnAt(curve, lag, 1).position,
    score: curve[lag],
  }))
  const highest = Math.max(0, ...candidates.map(({ score }) => score))
  return { score: 'clarity', better: 'high', threshold: cutoff * highest, candidates }
}

function acf(frame: Float32Array, stream: Stream, octaveCost: number): Weighed {
  const { shortestLag, longestLag, lags } = periodRange(stream, frame.length)
  const curve = new Float64Array(lags + 1)
  const heard = windowCorrected(frame.length, lags)(frame, curve)
  const peaks = new Int32Array(lags)
  const count = heard ? findPeaks(curve, shortestLag, longestLag, peaks) : 0
  const candidates = Array.from(peaks.subarray(0, count), (lag) => {
    const { position, value } = turnAt(curve, lag, 1)
    const price = octaveCost * Math.log2((stream.lowestHz * position) / stream.sampleRateHz)
    return { hz: stream.sampleRateHz / position, score: folded(value) - price }
  })
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
