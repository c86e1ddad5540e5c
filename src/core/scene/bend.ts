/**
 * The bent time axis of a gliding string: all partials run through tau = t + bend(t) instead of t.
 *
 * With q = ln 2 / 1200 * cents, T the time constant and e = exp(-t / T), all frequencies are 2^(cents e / 1200) = exp(q e) times
 * their settled ones, so bend = integral of exp(q e) - 1 = sum over m of q^m / m! * T / m * (1 - e^m). Good for |cents| <= 50.
 * All times in samples since the onset.
 */
import { exp, ln } from '../maths/portable.ts'

/** All frequencies stand `cents` higher at the onset and come down as exp(-t / timeS). */
export interface Glide {
  readonly cents: number
  readonly timeS: number
}

/** Knots are never further apart: beyond it a longer chord saves nothing. */
export const longestChord = 512
/** Largest turn that the chord may leave to the correction, rad: see oscillators.ts. */
const largestRest = 1e-3
/**
 * The glide is over when less than this is left of it, a 200th of what a partial may be off. All voices then keep a delay of
 * at most 5.8e-8 of the glide's time constant, 9 ns for 0.15 s.
 */
const leastCents = 1e-4

/** For 50 c q is 0.029: five terms leave 1e-12. */
const bendTerms = 5

export class Bend {
  /** After this many samples the glide is over. */
  readonly lifeSamples: number
  readonly #timeSamples: number
  readonly #q: number
  readonly #weights: readonly number[]

  constructor(glide: Glide, sampleRateHz: number) {
    this.#timeSamples = glide.timeS * sampleRateHz
    const q = (Math.LN2 / 1200) * glide.cents
    this.#q = q
    this.lifeSamples = this.#timeSamples * Math.max(0, ln(Math.abs(glide.cents) / leastCents))
    let term = this.#timeSamples
    this.#weights = Array.from({ length: bendTerms }, (_, index) => {
      const m = index + 1
      term *= q / m
      return term / m
    })
  }

  /** How far tau runs ahead of t. */
  at(samples: number): number {
    return this.#afterDecay(exp(-samples / this.#timeSamples))
  }

  #afterDecay(e: number): number {
    let power = 1
    let sum = 0
    for (const weight of this.#weights) {
      power *= e
      sum += weight * (1 - power)
    }
    return sum
  }

  /** Length L for which the rest, at most |bend''| L^2 / 8, turns the highest voice by no more than `largestRest`. */
  chordSamples(samples: number, highestAngle: number): number {
    // exp(q e) under 1.03 for 50 c.
    const curvature = (1.03 * Math.abs(this.#q) * exp(-samples / this.#timeSamples)) / this.#timeSamples
    const length = Math.sqrt((8 * largestRest) / (curvature * highestAngle))
    return Math.max(2, Math.min(longestChord, Math.floor(length)))
  }

  /** Slope of the chord over `length` samples; `rests` gets the way from the chord to the bend. */
  chord(samples: number, length: number, rests: Float64Array): number {
    const start = this.at(samples)
    const slope = (this.at(samples + length) - start) / length
    const perSample = exp(-1 / this.#timeSamples)
    let e = exp(-samples / this.#timeSamples)
    for (let i = 0; i < length; i++) {
      rests[i] = this.#afterDecay(e) - start - slope * i
      e *= perSample
    }
    return slope
  }
}
