/**
 * The Cramer-Rao bound on the first partial f1 of a string in noise: no unbiased method that knows no more is better.
 *
 * Model: partials A_k exp(-a_k t) cos(w_k t + phi_k) with known decays a_k, unknown A_k and phi_k, in Gaussian noise. With G
 * the one-sided density per Hz (take units^2 / Hz; two-sided per Hz S = G / 2), the information on w_k in rad/s is
 *   J_k = A_k^2 / (2 S) [int t^2 e - (int t e)^2 / int e] = A_k^2 / G(f_k) [...],  e = exp(-2 a_k t) over the span.
 * White noise of variance s^2 at rate r has G = 2 s^2 / r; then J_k is Rife & Boorstyn's (1974, IEEE Trans. IT-20:591-598)
 * A^2 N^3 / (24 s^2) in samples. Summed with (d w_k / d f1)^2; with stiffness B unknown, less what B takes. Numeric Fisher
 * matrix (fisher.ts) where the span holds under four periods. Partials that fall with two slopes have e in two stretches, and
 * both polarisations of a partial are one line (envelope.ts). Which mixture of the two a method hears is the string's own,
 * alike with and without noise: sdCents, which stands beside noise errors, leaves it out; lockS, which stands beside claims
 * against the truth, widens by it.
 *
 * Not in it: the attack, glides, any prior. Tonal, impulsive and recorded noise is not
 * Gaussian: there it is the bound for Gaussian noise of the same spectrum. It says nothing below the threshold ratio at which
 * outliers begin. Against the full matrix the closed form is right on average over phases (3 %); for the partials of a pluck,
 * which start together, it is up to 6 % high at four periods, 3 % at seven. Under four periods the matrix is that of the lowest
 * 24 partials, and what it makes of them is carried over to the rest: exact up to 24, within a fifth for 60.
 */
import { densityAt, type Spectrum } from '../maths/spectrum.ts'
import type { Partial } from '../scene/scene.ts'
import { realMoments } from './dampedmoments.ts'
import { decayAt, isPlain, type Line, linesOf, powerLeft, powerMoments, spreadCents } from './envelope.ts'
import { type Component, type ShortSpan, shortSpan, weighed } from './fisher.ts'

export interface BoundSignal {
  readonly partials: readonly Partial[]
  /** B of the law; only its being unknown matters. */
  readonly stiffness: number
  readonly firstPartialHz: number
  /** When the late decays of partials begin, s after the onset. Absent: never. */
  readonly kneeS?: number
  /** Phase of each partial's cosine at the onset. Absent: information is averaged over all phases. Matters under four periods only. */
  readonly phasesRad?: readonly number[]
}

/** What is left of the string behind a sensor: partials up to `maxK`, above `rolloffHz` falling by 12 dB/oct (noise does not fall). */
export interface BoundBand {
  readonly maxK: number
  readonly rolloffHz?: number
}

export interface BoundOptions {
  /** Default: known. */
  readonly stiffness?: 'known' | 'unknown'
  /** true: partials 1 to 10. Absent: all partials. */
  readonly band?: BoundBand | true
}

export interface Bound {
  /**
   * Least standard deviation of f1, cents, from the evidence between two moments, s after the onset. What lies before the
   * onset counts for nothing; a span that ends before it, or a signal without partials, gives NaN. Infinity: nothing can be
   * told. 0: no noise at a partial.
   */
  sdCents(fromS: number, toS: number, options?: BoundOptions): number
  /**
   * Earliest T, to a hundredth, at which 1.96 sd of the span 0..T is within `tolCents`: no hold. NaN: never. With two
   * polarisations the variance is that of the span plus that between them.
   */
  lockS(tolCents: number, options?: BoundOptions): number
}

/** High partials of a plucked string are the first to be lost in a real chain; ten are heard by most sensors. */
const defaultBand: BoundBand = { maxK: 10 }

/** Where the closed form is within a few per cent of the full matrix. */
const closedFormPeriods = 4

/** Partials in the full matrix. The factor it finds is applied to the rest: it changes little with more. */
const fullMatrixPartials = 24

/** Two-sided 95 % of a normal error. */
const z95 = 1.96

const centsPerNeper = 1200 / Math.LN2

/** Partials die within seconds; who has no claim after this long never has. */
const longestLockS = 60

export function openBound(signal: BoundSignal, noise: Spectrum): Bound {
  const variants = new Map<string, Prepared>()
  const variant = ({ band }: BoundOptions): Prepared => {
    const { maxK, rolloffHz = Number.POSITIVE_INFINITY } =
      band === true ? defaultBand : (band ?? { maxK: Number.POSITIVE_INFINITY })
    const key = `${maxK} ${rolloffHz}`
    const known = variants.get(key)
    if (known !== undefined) return known
    const prepared = new Prepared(signal, noise, maxK, rolloffHz)
    variants.set(key, prepared)
    return prepared
  }
  return {
    sdCents: (fromS, toS, options = {}) => variant(options).sdCents(fromS, toS, options.stiffness !== 'unknown'),
    lockS: (tolCents, options = {}) => variant(options).lockS(tolCents, options.stiffness !== 'unknown'),
  }
}

/** One call of `openBound(signal, noise).sdCents`. */
export const boundSdCents = (
  signal: BoundSignal,
  noise: Spectrum,
  fromS: number,
  toS: number,
  options: BoundOptions = {},
): number => openBound(signal, noise).sdCents(fromS, toS, options)

/** Spans kept by length: a fixed window asks for one, a growing one for many. */
const keptSpans = 64
/** A take of 10 s at a hop of 10 ms, by a few windows. */
const keptDeviations = 4096

/** Lines with their amplitudes already over the root of half the noise density, and what was worked out for each length. */
class Prepared {
  readonly #firstPartialHz: number
  readonly #kneeS: number
  readonly #lines: readonly Line[]
  readonly #phasesRad: number[] | null
  /** A_k^2 / G: what J_k is made of. */
  readonly #strength: Float64Array
  /** d w_k / d ln f1 and d w_k / d B at fixed f1. */
  readonly #perPitch: Float64Array
  readonly #perStiffness: Float64Array
  /** All lines fall by one exponential: what a span tells does not depend on its start, but for the fall up to there. */
  readonly #plain: boolean
  /** Between the polarisations of its lines, by their power. */
  readonly #spreadCents: number
  readonly #brackets = new Map<number, Float64Array>()
  readonly #shortSpans = new Map<number, ShortSpan>()
  readonly #lateShortSpans = new Map<number, ShortSpan>()
  readonly #deviations = new Map<string, number>()
  readonly #locks = new Map<string, number>()

  constructor(signal: BoundSignal, noise: Spectrum, maxK: number, rolloffHz: number) {
    const lines = linesOf(signal.partials.filter(({ k }) => k <= maxK))
    const places = signal.partials.flatMap(({ k }, i) => (k <= maxK ? [i] : []))
    const { stiffness, kneeS = Number.POSITIVE_INFINITY } = signal
    this.#lines = lines
    this.#kneeS = kneeS
    this.#plain = lines.every(isPlain)
    this.#firstPartialHz = signal.firstPartialHz
    this.#phasesRad =
      signal.phasesRad === undefined ? null : lines.map(({ place }) => signal.phasesRad?.[places[place]] ?? 0)
    const powers = Float64Array.from(lines, (line) => line.power / (1 + (line.frequencyHz / rolloffHz) ** 4))
    this.#strength = powers.map((power, i) => (power === 0 ? 0 : power / densityAt(noise, lines[i].frequencyHz)))
    this.#perPitch = Float64Array.from(lines, ({ frequencyHz }) => 2 * Math.PI * frequencyHz)
    this.#perStiffness = Float64Array.from(lines, ({ k }, i) => {
      const bend = (k * k) / (1 + stiffness * k * k) - 1 / (1 + stiffness)
      return 0.5 * this.#perPitch[i] * bend
    })
    const sum = powers.reduce((total, power) => total + power, 0)
    const squares = lines.reduce((total, line, i) => total + powers[i] * spreadCents(line, kneeS) ** 2, 0)
    this.#spreadCents = sum > 0 ? Math.sqrt(squares / sum) : 0
  }

  sdCents(fromS: number, toS: number, knownStiffness: boolean): number {
    if (this.#plain) return this.#sdCents(fromS, toS, knownStiffness)
    // Methods with the same window read at the same moments.
    const key = `${Math.round(fromS * 1e9)} ${Math.round(toS * 1e9)} ${knownStiffness}`
    const found = this.#deviations.get(key) ?? this.#sdCents(fromS, toS, knownStiffness)
    if (this.#deviations.size >= keptDeviations) this.#deviations.clear()
    this.#deviations.set(key, found)
    return found
  }

  #sdCents(fromS: number, toS: number, knownStiffness: boolean): number {
    const startS = Math.max(0, fromS)
    const spanS = toS - startS
    if (!(spanS > 0) || this.#lines.length === 0) return Number.NaN
    const closed = this.#closed(startS, spanS, this.#lines.length, knownStiffness)
    if (closed === Number.POSITIVE_INFINITY) return 0
    const periods = spanS * this.#firstPartialHz
    if (periods >= closedFormPeriods) return centsOf(closed)
    if (periods <= 1 && this.#lines.length > 1) return Number.POSITIVE_INFINITY
    const count = Math.min(fullMatrixPartials, this.#lines.length)
    const lowest = count === this.#lines.length ? closed : this.#closed(startS, spanS, count, knownStiffness)
    return lowest > 0
      ? centsOf((closed * this.#full(startS, spanS, count, knownStiffness)) / lowest)
      : Number.POSITIVE_INFINITY
  }

  lockS(tolCents: number, knownStiffness: boolean): number {
    const key = `${tolCents} ${knownStiffness}`
    const found = this.#locks.get(key) ?? this.#searchLockS(tolCents, knownStiffness)
    this.#locks.set(key, found)
    return found
  }

  #searchLockS(tolCents: number, knownStiffness: boolean): number {
    const allows = (spanS: number) => {
      const sd = this.sdCents(0, spanS, knownStiffness)
      return z95 * (this.#spreadCents === 0 ? sd : Math.hypot(sd, this.#spreadCents)) <= tolCents
    }
    if (!allows(longestLockS)) return Number.NaN
    const fourPeriodsS = closedFormPeriods / this.#firstPartialHz
    let [low, high] = allows(fourPeriodsS) ? [0, fourPeriodsS] : [fourPeriodsS, longestLockS]
    // To a hundredth of itself: no method reads so often that more could be seen.
    while (high - low > 0.01 * high && high > 1e-6) {
      const middle = low === 0 ? high / 2 : Math.sqrt(low * high)
      if (allows(middle)) high = middle
      else low = middle
    }
    return high
  }

  /** Information on ln f1 from the first `count` partials, as if each stood alone. */
  #closed(startS: number, spanS: number, count: number, knownStiffness: boolean): number {
    const brackets = this.#plain ? this.#bracketsOf(spanS) : this.#bracketsFrom(startS, spanS)
    let pitch = 0
    let both = 0
    let stiff = 0
    for (let i = 0; i < count; i++) {
      const decay = this.#lines[i].voices[0].decayPerS
      const fall = decay === 0 || !this.#plain ? 1 : Math.exp(-2 * decay * startS)
      const information = this.#strength[i] * brackets[i] * fall
      if (information === 0) continue
      const perPitch = this.#perPitch[i]
      pitch += information * perPitch * perPitch
      if (knownStiffness) continue
      const perStiffness = this.#perStiffness[i]
      both += information * perPitch * perStiffness
      stiff += information * perStiffness * perStiffness
    }
    return lessStiffness(pitch, both, stiff)
  }

  /** The same with the partials in each other's way. */
  #full(startS: number, spanS: number, count: number, knownStiffness: boolean): number {
    // Under four periods: as if all of it had the slope of its start.
    const kneeS = this.#kneeS
    const late = startS >= kneeS
    const components = (): Component[] =>
      this.#lines.slice(0, count).map((line, i) => ({
        omegaPerS: this.#perPitch[i],
        decayPerS: decayAt(line, late ? kneeS : 0, kneeS),
      }))
    const spans = late ? this.#lateShortSpans : this.#shortSpans
    const span = kept(spans, spanS, (lengthS) => shortSpan(components(), lengthS))
    const pitch = new Float64Array(span.size)
    const stiff = new Float64Array(span.size)
    let averaged = { pitch: 0, both: 0, stiff: 0 }
    for (let i = 0; i < count; i++) {
      // sqrt(A^2 / S) at the start of the span, S = G / 2.
      const size = Math.sqrt(2 * this.#strength[i] * powerLeft(this.#lines[i], startS, kneeS))
      const [perPitch, perStiffness] = [size * this.#perPitch[i], size * this.#perStiffness[i]]
      if (this.#phasesRad === null) {
        const [cosine, sine] = [2 * i, 2 * i + 1]
        const mean = (span.form[cosine * span.size + cosine] + span.form[sine * span.size + sine]) / 2
        averaged = {
          pitch: averaged.pitch + mean * perPitch ** 2,
          both: averaged.both + mean * perPitch * perStiffness,
          stiff: averaged.stiff + mean * perStiffness ** 2,
        }
        continue
      }
      const phase = this.#phasesRad[i] + this.#perPitch[i] * startS
      const [cosine, sine] = [Math.sin(phase), Math.cos(phase)]
      pitch[2 * i] = cosine * perPitch
      pitch[2 * i + 1] = sine * perPitch
      stiff[2 * i] = cosine * perStiffness
      stiff[2 * i + 1] = sine * perStiffness
    }
    if (this.#phasesRad === null) {
      return lessStiffness(averaged.pitch, knownStiffness ? 0 : averaged.both, averaged.stiff)
    }
    const own = weighed(span, pitch, pitch)
    return knownStiffness ? own : lessStiffness(own, weighed(span, pitch, stiff), weighed(span, stiff, stiff))
  }

  /** int t^2 e - (int t e)^2 / int e for each line, e = 1 at the start. */
  #bracketsOf(spanS: number): Float64Array {
    return kept(this.#brackets, spanS, (lengthS) => {
      const moments = new Float64Array(3)
      return Float64Array.from(this.#lines, ({ voices: [voice] }) => {
        realMoments(2 * voice.decayPerS, lengthS, moments)
        return bracketOf(moments)
      })
    })
  }

  /** The same, e = 1 at the onset. */
  #bracketsFrom(startS: number, spanS: number): Float64Array {
    const moments = new Float64Array(3)
    return Float64Array.from(this.#lines, (line) => {
      powerMoments(line, startS, spanS, this.#kneeS, moments)
      return bracketOf(moments)
    })
  }
}

/** 0 where nothing is left of the line. */
const bracketOf = (moments: Float64Array): number =>
  moments[0] > 0 ? Math.max(0, moments[2] - (moments[1] * moments[1]) / moments[0]) : 0

/** What is left of the information on one parameter when the other is unknown too. */
function lessStiffness(pitch: number, both: number, stiff: number): number {
  if (both === 0 || stiff === 0 || pitch === Number.POSITIVE_INFINITY) return pitch
  return pitch - (both * both) / stiff
}

const centsOf = (information: number): number =>
  information > 0 ? centsPerNeper / Math.sqrt(information) : Number.POSITIVE_INFINITY

/** Lengths that differ by rounding are one: kept to the nanosecond. */
function kept<T>(map: Map<number, T>, spanS: number, make: (lengthS: number) => T): T {
  const key = Math.round(spanS * 1e9)
  const found = map.get(key)
  if (found !== undefined) return found
  if (map.size >= keptSpans) map.clear()
  const made = make(key / 1e9)
  map.set(key, made)
  return made
}
