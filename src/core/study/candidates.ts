/**
 * What a method weighed in one frame: every dip or peak of its own curve, with the score it was judged by. Period followers have a
 * curve over lags, those that sum a spectrum one over pitches.
 *
 * The curve is computed anew by the method's own functions, from the frame or, where a method remembers, from all that it had heard
 * until then, so it shows what was really weighed; tests hold it against the readings. A method that is not known here, or that
 * heard the sound through a filter, gives null: nothing is guessed.
 */
import { centsBetween } from '../maths/units.ts'
import { findPeaks, folded, windowCorrected } from '../methods/acf.ts'
import { openHarmonicSum } from '../methods/harmonic-sum.ts'
import { openHps } from '../methods/hps.ts'
import { methodById } from '../methods/index.ts'
import { LagProducts } from '../methods/lagproducts.ts'
import type { Listener, Stream, Weighing } from '../methods/method.ts'
import { findKeys, normaliseProducts } from '../methods/mpm.ts'
import { periodRange } from '../methods/periodrange.ts'
import type { PitchCurve } from '../methods/pitchcurve.ts'
import { refine, type Turn } from '../methods/refine.ts'
import { openShs } from '../methods/shs.ts'
import { openSwipePrime } from '../methods/swipe-prime.ts'
import { isDip, normaliseDifferences } from '../methods/yin.ts'

export interface Candidate {
  readonly hz: number
  readonly score: number
}

export interface Weighed {
  /** What the scores are. */
  readonly score: 'difference' | 'clarity' | 'strength' | 'sum' | 'evidence'
  /** The method takes low scores (dips) or high ones (peaks). */
  readonly better: 'low' | 'high'
  /** The first candidate past this, counted from the highest pitch, wins; null: the best does. */
  readonly threshold: number | null
  /** From the highest pitch to the lowest: the order in which a period follower meets them. */
  readonly candidates: readonly Candidate[]
}

/** The same place of the same curve, refined twice: equal but for rounding. */
const sameCents = 0.01

/** Opened with all settings of the method. */
type OpenCurve = (stream: Stream, values: Readonly<Record<string, number>>) => PitchCurve

const summing: Readonly<Record<string, OpenCurve>> = {
  'harmonic-sum': openHarmonicSum as OpenCurve,
  hps: openHps as OpenCurve,
  shs: openShs as OpenCurve,
  'swipe-prime': openSwipePrime as OpenCurve,
}

/** Methods that remember and can be asked. */
const remembering: readonly string[] = ['partial-fit', 'joint-fit', 'whitened-sum', 'growing-fit']

/** Methods whose candidates are known. */
export const weighingMethods: readonly string[] = ['yin', 'mpm', 'acf', ...Object.keys(summing), ...remembering]

/** A reading's evidence, half open, in samples from the start of the take. */
interface Evidence {
  readonly fromSample: number
  readonly toSample: number
}

/**
 * @param samples the take the reading was made from.
 * @param stream what the method was opened with.
 * @param values all settings of the method.
 */
export function weighedAt(
  method: string,
  samples: Float32Array,
  { fromSample, toSample }: Evidence,
  stream: Stream,
  values: Readonly<Record<string, number>>,
): Weighed | null {
  if (!remembering.includes(method)) return weighedBy(method, samples.subarray(fromSample, toSample), stream, values)
  const listener = methodById(method).open(stream, values)
  hearUntil(listener, samples, toSample)
  const weighing = listener.weigh?.() ?? null
  return weighing === null ? null : peaksOf(weighing, 'evidence')
}

/** Up to the reading whose evidence ends there, which may be made a few samples later. */
function hearUntil(listener: Listener, samples: Float32Array, toSample: number): void {
  let last = 0
  const note = ({ toSample: end }: Evidence): void => {
    last = end
  }
  listener.push(samples.subarray(0, toSample - 1), note)
  for (let at = toSample - 1; last < toSample && at < samples.length; at++) {
    listener.push(samples.subarray(at, at + 1), note)
  }
}

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
  if (!weighingMethods.includes(method) || remembering.includes(method)) return null
  if ((values.lowPassHz ?? 0) > 0 || frame.length !== values.window) return null
  const sums = summing[method]
  if (sums !== undefined) return summed(sums, frame, stream, values)
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

const ignored = { f0Hz: 0, confidence: 0, spreadCents: 0, fromOffset: 0, toOffset: 0, atOffset: 0 }

function summed(
  open: OpenCurve,
  frame: Float32Array,
  stream: Stream,
  values: Readonly<Record<string, number>>,
): Weighed {
  const curve = open(stream, values)
  curve.analyse(frame, { ...ignored })
  curve.lookAtAll?.()
  return peaksOf(curve, 'sum')
}

function peaksOf({ hz, scores }: Weighing, score: 'sum' | 'evidence'): Weighed {
  const candidates: Candidate[] = []
  for (let i = 1; i + 1 < hz.length; i++) {
    const [below, here, above] = [scores[i - 1], scores[i], scores[i + 1]]
    if (!(here > 0 && here >= below && here > above)) continue
    const turn = (0.5 * (below - above)) / (below - 2 * here + above)
    candidates.push({ hz: between(hz, i, turn), score: here })
  }
  return { score, better: 'high', threshold: null, candidates: candidates.sort((a, b) => b.hz - a.hz) }
}

/** `turn` steps from place i on an axis of equal steps or of equal ratios. */
function between(hz: Float64Array, i: number, turn: number): number {
  const even = Math.abs(hz[i + 1] + hz[i - 1] - 2 * hz[i]) < 1e-9 * hz[i]
  return even ? hz[i] + turn * (hz[i + 1] - hz[i]) : hz[i] * (hz[i + 1] / hz[i]) ** turn
}

function turnAt(curve: Float64Array, lag: number, sign: 1 | -1): Turn {
  const turn: Turn = { position: 0, value: 0 }
  refine(curve, lag, sign, turn)
  return turn
}

/** At most this many can be looked through; the rest are noise. */
const mostShown = 6

/** The best of them, best first, and always the one that is `taken` (NaN: declined), however it scored. */
export function foremost(weighed: Weighed, taken: number): readonly Candidate[] {
  const sign = weighed.better === 'low' ? 1 : -1
  const sorted = [...weighed.candidates].sort((a, b) => sign * (a.score - b.score))
  const chosen = takenOf(weighed, taken)
  const first = sorted.slice(0, mostShown)
  return chosen === undefined || first.includes(chosen) ? first : [...first.slice(0, mostShown - 1), chosen]
}

/** The candidate that became the answer `f0Hz`; undefined: none, as when the method declined. */
export function takenOf({ score, candidates }: Weighed, f0Hz: number): Candidate | undefined {
  if (!(f0Hz > 0)) return undefined
  // The largest sum is the one taken, wherever the answer is then refined to; what is followed is the one nearest the answer.
  if (score === 'sum') return leastBy(candidates, (one) => -one.score)
  if (score === 'evidence') return leastBy(candidates, ({ hz }) => Math.abs(centsBetween(hz, f0Hz)))
  return candidates.find(({ hz }) => Math.abs(centsBetween(hz, f0Hz)) < sameCents)
}

function leastBy(candidates: readonly Candidate[], cost: (one: Candidate) => number): Candidate | undefined {
  return candidates.reduce<Candidate | undefined>(
    (best, one) => (best === undefined || cost(one) < cost(best) ? one : best),
    undefined,
  )
}
