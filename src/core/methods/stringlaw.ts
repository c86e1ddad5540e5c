/**
 * The stiff string's law f_k = k f0 sqrt(1 + B k^2) and its fit to measured partials.
 *
 * Partial k above k times partial 1, in cents: 600 log2((1 + B k^2) / (1 + B)) (Fletcher 1964, JASA 36:203-209). The fit has
 * two unknowns, the cents of partial 1 and B, and three guards: a prior on B, wide enough that a few audible partials
 * overrule it; a random effect (DerSimonian & Laird 1986, Control. Clin. Trials 7:177-188, eq. 8), because a body bends
 * single partials by more than noise does: as soon as residuals exceed their own errors, all partials come to count
 * alike; and Tukey's biweight, so that a partial pulled far off (a hum line beside it) counts for nothing.
 * With fewer than three audible partials B is the prior's.
 */

/** f1 here is the first partial, stiffness included: f1 = f0 sqrt(1 + B). */
export interface StringLaw {
  f1Hz: number
  stiffness: number
}

const centsPerNeper = 1200 / Math.LN2

/**
 * Recorded strings have 2e-5 to 3.3e-4, most under 1e-4 (signals/strings.json), and none can be under 0: two deviations reach
 * from below nothing to 2.5e-4, and a few audible partials overrule it.
 */
export const priorStiffness = 9e-5
export const priorStiffnessSd = 8e-5

/**
 * What is known of B before a note in hand is heard. Recorded guitar strings have 2e-5 to 8.8e-5, basses up to E1 and D2 1.4e-4 to 3.3e-4
 * (signals/strings.json); a guess of 7e-5 +- 6e-5 holds uniform B up to 2e-4 as well (tests/bench/near-bound.md).
 */
export const stiffnessPrior = (targetHz: number): StiffnessPrior =>
  targetHz < lowestGuitarHz
    ? { mean: priorStiffness, sd: priorStiffnessSd }
    : { mean: guitarStiffness, sd: guitarStiffnessSd }

export interface StiffnessPrior {
  readonly mean: number
  readonly sd: number
}

/** Between D2 of a bass and E2 of a guitar. */
const lowestGuitarHz = 78
const guitarStiffness = 7e-5
const guitarStiffnessSd = 6e-5

/** Biweight cut in deviations of the whole spread: 95 % efficient for Gaussian errors. */
const tukeyCut = 4.685

/** How far a body commonly bends a partial; used to tell pulled partials from bent ones before their spread is known. */
const usualBend2 = 1.5 * 1.5

/** The first rounds find out which partials to trust (Cauchy weights, which no outlier can capture), the rest settle. */
const cautiousRounds = 2
const rounds = 5

export const partialHz = ({ f1Hz, stiffness }: StringLaw, k: number): number =>
  k * f1Hz * Math.sqrt((1 + stiffness * k * k) / (1 + stiffness))

/** d(cents of partial k, partial 1 held) / dB. */
export const stiffnessSlope = (k: number, stiffness: number): number =>
  0.5 * centsPerNeper * ((k * k) / (1 + stiffness * k * k) - 1 / (1 + stiffness))

export class LawFit {
  /** Cents by which the measured first partial lies above the given law's. */
  shiftCents = 0
  stiffness = 0
  /** Standard deviation of `shiftCents`, from the errors and from how badly the law fits. */
  spreadCents = Number.NaN
  /** Spread of the partials about the law beyond their own errors. */
  bentCents = 0
  /** Sum of robust weights: how many partials the answer really rests on. */
  count = 0
  /** What the partials alone say of B, no prior: the estimate and its precision. */
  ownStiffness = 0
  ownPrecision = 0
  readonly #slope: Float64Array
  readonly #residual: Float64Array
  /** Robust weight of each partial, 0..1. */
  readonly trust: Float64Array

  constructor(maxPartials: number) {
    this.#slope = new Float64Array(maxPartials)
    this.#residual = new Float64Array(maxPartials)
    this.trust = new Float64Array(maxPartials)
  }

  /**
   * `offsetCents[i]` is partial i + 1 measured against `law`, `variance[i]` its error (c^2; infinite: not measured).
   * False when nothing was measured. Does not allocate.
   */
  fit(law: StringLaw, offsetCents: Float64Array, variance: Float64Array, partials: number): boolean {
    const slope = this.#slope
    const residual = this.#residual
    const trust = this.trust
    let measured = 0
    for (let i = 0; i < partials; i++) {
      slope[i] = stiffnessSlope(i + 1, law.stiffness)
      trust[i] = variance[i] < Number.POSITIVE_INFINITY ? 1 : 0
      measured += trust[i]
    }
    if (measured === 0) return false

    const priorPrecision = 1 / (priorStiffnessSd * priorStiffnessSd)
    let bent2 = usualBend2
    for (let round = 0; round < rounds; round++) {
      let sw = 0
      let swx = 0
      let swxx = priorPrecision
      let swy = 0
      let swxy = priorPrecision * (priorStiffness - law.stiffness)
      for (let i = 0; i < partials; i++) {
        if (trust[i] === 0) continue
        const w = trust[i] / (variance[i] + bent2)
        sw += w
        swx += w * slope[i]
        swxx += w * slope[i] * slope[i]
        swy += w * offsetCents[i]
        swxy += w * slope[i] * offsetCents[i]
      }
      const determinant = sw * swxx - swx * swx
      if (!(determinant > 0)) return false
      const shift = (swxx * swy - swx * swxy) / determinant
      const stiffer = (sw * swxy - swx * swy) / determinant
      this.shiftCents = shift
      this.stiffness = law.stiffness + stiffer
      this.spreadCents = Math.sqrt(swxx / determinant)

      for (let i = 0; i < partials; i++) residual[i] = offsetCents[i] - shift - stiffer * slope[i]
      if (round === rounds - 1) break
      if (round < cautiousRounds) {
        this.#weighCautiously(variance, partials)
        if (round < cautiousRounds - 1) continue
      } else {
        this.#weigh(variance, partials, Math.max(bent2, usualBend2))
      }
      bent2 = this.#bentVariance(variance, partials)
    }
    this.bentCents = Math.sqrt(bent2)
    this.count = 0
    for (let i = 0; i < partials; i++) this.count += trust[i]
    return true
  }

  /** DerSimonian & Laird's moment estimate with the trusted residuals. */
  #bentVariance(variance: Float64Array, partials: number): number {
    let sw = 0
    let sww = 0
    let q = 0
    let n = 0
    for (let i = 0; i < partials; i++) {
      const trust = this.trust[i]
      if (trust === 0) continue
      const w = trust / variance[i]
      sw += w
      sww += w * w
      q += w * this.#residual[i] * this.#residual[i]
      n += trust
    }
    // Two unknowns were fitted. Under three partials there is nothing left to judge by.
    const spare = sw - sww / sw
    return n > 2.5 && spare > 0 ? Math.max(0, (q - (n - 2)) / spare) : 0
  }

  #weighCautiously(variance: Float64Array, partials: number): void {
    for (let i = 0; i < partials; i++) {
      if (!(variance[i] < Number.POSITIVE_INFINITY)) continue
      this.trust[i] = 1 / (1 + this.#residual[i] ** 2 / (4 * (variance[i] + usualBend2)))
    }
  }

  #weigh(variance: Float64Array, partials: number, bent2: number): void {
    for (let i = 0; i < partials; i++) {
      if (!(variance[i] < Number.POSITIVE_INFINITY)) continue
      const u2 = this.#residual[i] ** 2 / ((variance[i] + bent2) * tukeyCut * tukeyCut)
      this.trust[i] = u2 < 1 ? (1 - u2) ** 2 : 0
    }
  }
}
