/**
 * One span of the growing fit: from a law that is nearly right to the least squares of all partials together.
 *
 * Amplitudes and turns of all partials are measured at once (moments.ts), the guarded fit tells which of them belong to one
 * string (stringlaw.ts), and a Gauss-Newton step moves f1 and B by what each partial's turn pushes, weighed by its power over
 * the noise. B has a prior: the usual one at first, later what longer spans of the same string said.
 * Spans come in a ladder of lengths, because each needs its own tables.
 */
import { hasHoles } from './comboverlap.ts'
import { PartialMoments } from './moments.ts'
import { evenedPower, judgedRatio, worthOf } from './partialworth.ts'
import { LawFit, partialHz, type StringLaw, stiffnessSlope } from './stringlaw.ts'

const centsPerRatio = 1200 / Math.LN2

/** One-sided noise power density at partial k + 1, which lies at `hz`. */
export type NoiseAt = (k: number, hz: number) => number

/** What is known of B before a span is heard. */
export interface StiffnessPrior {
  mean: number
  sd: number
}

export class GrowingFrame {
  /** Samples of each rung, odd, rising. */
  readonly lengths: readonly number[]
  readonly partials: number
  /** The topmost partials are measured only to take their cross-talk out of the others. */
  readonly fitted: number
  readonly law: StringLaw = { f1Hz: 0, stiffness: 0 }
  /** Deviations of f1 and B as the noise makes them. */
  spreadCents = Number.NaN
  stiffnessSd = Number.NaN
  bentCents = 0
  /** Nepers by which partials that agree exceed the noise. */
  evidence = 0
  /** Power of each partial over chance's. */
  readonly ratio: Float64Array
  readonly power: Float64Array

  /** Variances and covariance of the cents of f1 and of B: how far the partials may lie from where `law` puts them. */
  readonly doubt = { cents2: 0, both: 0, stiffness2: 0 }

  readonly #rateHz: number
  readonly #tried: StringLaw = { f1Hz: 0, stiffness: 0 }
  readonly #moments: readonly PartialMoments[]
  readonly #frames: readonly Float64Array[]
  readonly #fit: LawFit
  readonly #omega: Float64Array
  readonly #offset: Float64Array
  readonly #variance: Float64Array
  readonly #noise: Float64Array
  readonly #own: Float64Array
  readonly #worth: Float64Array

  constructor(rateHz: number, partials: number, lengths: readonly number[]) {
    this.#rateHz = rateHz
    this.lengths = lengths
    this.partials = partials
    this.fitted = partials > 6 ? partials - 1 : partials
    this.#moments = lengths.map((length) => new PartialMoments(length, partials, taper))
    this.#frames = lengths.map((length) => new Float64Array(length))
    this.#fit = new LawFit(partials)
    this.ratio = new Float64Array(partials)
    this.power = new Float64Array(partials)
    this.#omega = new Float64Array(partials)
    this.#offset = new Float64Array(partials)
    this.#variance = new Float64Array(partials)
    this.#noise = new Float64Array(partials)
    this.#own = new Float64Array(partials)
    this.#worth = new Float64Array(partials)
  }

  /** Takes `lengths[rung]` samples that end before index `end` of `samples`. */
  load(rung: number, samples: Float64Array, end: number): void {
    const frame = this.#frames[rung]
    const from = end - frame.length
    for (let i = 0; i < frame.length; i++) frame[i] = samples[from + i]
    this.#moments[rung].load(frame)
  }

  /** How well the lowest partials of a law fit the loaded span: the sum over them of log(1 + power / noise). */
  score(rung: number, law: StringLaw, partials: number, noiseAt: NoiseAt): number {
    const moments = this.#moments[rung]
    const omega = this.#omega
    const perSample = this.#rateHz / 2
    const hzPerOmega = this.#rateHz / (2 * Math.PI)
    for (let k = 0; k < partials; k++) omega[k] = (2 * Math.PI * partialHz(law, k + 1)) / this.#rateHz
    moments.measure(omega, partials)
    let strongest = 0
    for (let k = 0; k < partials; k++) if (moments.power[k] > strongest) strongest = moments.power[k]
    let sum = 0
    for (let k = 0; k < partials; k++) {
      const chance = (noiseAt(k, omega[k] * hzPerOmega) * perSample) / moments.detectGain + strongest * searchFloor
      sum += Math.log(1 + moments.power[k] / chance)
    }
    return sum
  }

  /** Squared amplitude of partial k + 1 as it was measured last on this rung. */
  measuredPower(rung: number, k: number): number {
    return this.#moments[rung].power[k]
  }

  /**
   * Moves `law` to the best one near it for the loaded span, in at most `most` measurements. False: it ran away. Does not
   * allocate.
   */
  settle(rung: number, prior: StiffnessPrior, noiseAt: NoiseAt, most: number): boolean {
    const { law, partials } = this
    const moments = this.#moments[rung]
    const length = this.lengths[rung]
    const omega = this.#omega
    for (let step = 1; ; step++) {
      for (let k = 0; k < partials; k++) omega[k] = (2 * Math.PI * partialHz(law, k + 1)) / this.#rateHz
      moments.measure(omega, partials)
      const sure = this.#sureOf(rung)
      const top = partialHz(law, sure)
      if (!this.#step(rung, sure, prior, noiseAt)) return false
      const moved = (Math.PI * Math.abs(partialHz(law, sure) - top) * length) / this.#rateHz
      if (!(Math.abs(law.stiffness) < mostStiffness) || !(moved >= 0)) return false
      if (moved < settledRad && (sure === this.fitted || this.#sureOf(rung) === sure)) break
      if (step === most) return moved < lostRad
    }
    return true
  }

  /**
   * Where the low partials leave f1 and B open together, the high ones are asked which of that ridge's laws they like best:
   * by their powers, because turns mean nothing yet. True: the law was looked for; it is to be settled again.
   */
  climbRidge(rung: number, noiseAt: NoiseAt): boolean {
    const { law, doubt } = this
    const sure = this.#sureOf(rung)
    if (sure === this.fitted || !(doubt.stiffness2 > 0)) return false
    const sd = Math.sqrt(doubt.stiffness2)
    const lean = doubt.both / doubt.stiffness2
    const half = this.lengths[rung] / 2
    const turnOf = (k: number): number =>
      (Math.abs(stiffnessSlope(k, law.stiffness) + lean) * sd * 2 * Math.PI * partialHz(law, k) * half) /
      (this.#rateHz * centsPerRatio)
    let count = sure
    while (count < this.fitted && ridgeSds * turnOf(count + 1) < ridgeSteps * ridgeRad) count++
    const step = Math.min(ridgeSds / ridgeSteps, ridgeRad / turnOf(count))
    const { f1Hz, stiffness } = law
    const tried = this.#tried
    let best = Number.NEGATIVE_INFINITY
    let bestAt = 0
    for (let i = -ridgeSteps; i <= ridgeSteps; i++) {
      tried.stiffness = stiffness + i * step * sd
      tried.f1Hz = f1Hz * 2 ** ((lean * i * step * sd) / 1200)
      const score = this.score(rung, tried, count, noiseAt) - 0.5 * (i * step) ** 2
      if (score > best) {
        best = score
        bestAt = i
      }
    }
    law.stiffness = stiffness + bestAt * step * sd
    law.f1Hz = f1Hz * 2 ** ((lean * bestAt * step * sd) / 1200)
    const left = Math.min(1, (ridgeLeft * step) ** 2)
    doubt.cents2 -= (1 - left) * lean * doubt.both
    doubt.both *= left
    doubt.stiffness2 *= left
    return true
  }

  /** The lowest partials, as many as the law places well enough for their turns to mean anything. */
  #sureOf(rung: number): number {
    const { law, doubt } = this
    const half = this.lengths[rung] / 2
    let sure = Math.min(leastSure, this.fitted)
    for (; sure < this.fitted; sure++) {
      const slope = stiffnessSlope(sure + 1, law.stiffness)
      const cents2 = doubt.cents2 + 2 * slope * doubt.both + slope * slope * doubt.stiffness2
      const radPerCent = (2 * Math.PI * partialHz(law, sure + 1) * half) / (this.#rateHz * centsPerRatio)
      if (cents2 * radPerCent * radPerCent > sureRad * sureRad) break
    }
    return sure
  }

  #step(rung: number, fitted: number, prior: StiffnessPrior, noiseAt: NoiseAt): boolean {
    const { law } = this
    const moments = this.#moments[rung]
    const half = this.lengths[rung] / 2
    const perSample = this.#rateHz / 2
    const hzPerOmega = this.#rateHz / (2 * Math.PI)
    const omega = this.#omega
    const noise = this.#noise
    const own = this.#own
    let strongest = 0
    for (let k = 0; k < this.partials; k++) {
      this.power[k] = moments.power[k]
      if (moments.power[k] > strongest) strongest = moments.power[k]
    }
    let farthest = 0
    for (let k = 0; k < fitted; k++) {
      noise[k] = Math.max(noiseAt(k, omega[k] * hzPerOmega) * perSample, strongest * leastNoise * moments.detectGain)
      const chance = noise[k] / moments.detectGain
      own[k] = moments.power[k] - chance
      this.ratio[k] = moments.power[k] / chance
      const toCents = centsPerRatio / omega[k]
      const turn = Math.abs(moments.errorRad[k]) * half
      if (own[k] > judgedRatio * chance && turn < wildRad && turn > farthest) farthest = turn
      this.#offset[k] = moments.errorRad[k] * toCents
      this.#variance[k] =
        turn < wildRad && own[k] > 0
          ? ((moments.errorGain * noise[k]) / own[k]) * toCents * toCents
          : Number.POSITIVE_INFINITY
    }
    const fit = this.#fit
    if (!fit.fit(law, this.#offset, this.#variance, fitted)) return false
    this.bentCents = fit.bentCents
    this.#weighEvidence(fitted)
    const bent2 = fit.bentCents * fit.bentCents
    const priorPrecision = 1 / (prior.sd * prior.sd)
    let sw = 0
    let swx = 0
    let swxx = priorPrecision
    let swy = 0
    let swxy = priorPrecision * (prior.mean - law.stiffness)
    for (let k = 0; k < fitted; k++) {
      const power = moments.power[k]
      const chance = noise[k] / moments.detectGain
      const trust = power > judgedRatio * chance ? fit.trust[k] : 1
      const toCents = centsPerRatio / omega[k]
      const kept = evenedPower(own, k, fitted, power)
      if (!(kept > 0) || trust === 0) continue
      const variance = (moments.errorGain * noise[k] * toCents * toCents) / kept
      const weight = trust / (variance + bent2)
      const slope = stiffnessSlope(k + 1, law.stiffness)
      // Large turns are read by the exact relation; the power form is even in what noise adds, but only for small ones.
      const turn =
        farthest > smallRad && power > judgedRatio * chance
          ? moments.errorRad[k]
          : moments.turnPower[k] / (kept + chance)
      const push = weight * turn * toCents
      sw += weight
      swx += weight * slope
      swxx += weight * slope * slope
      swy += push
      swxy += push * slope
    }
    const determinant = sw * swxx - swx * swx
    if (!(determinant > 0)) return false
    law.f1Hz *= 2 ** ((swxx * swy - swx * swxy) / determinant / 1200)
    law.stiffness += (sw * swxy - swx * swy) / determinant
    this.spreadCents = Math.sqrt(swxx / determinant)
    this.stiffnessSd = Math.sqrt(sw / determinant)
    this.doubt.cents2 = swxx / determinant
    this.doubt.both = -swx / determinant
    this.doubt.stiffness2 = sw / determinant
    return true
  }

  #weighEvidence(fitted: number): void {
    let evidence = 0
    const worth = this.#worth
    for (let k = 0; k < fitted; k++) {
      worth[k] = this.#fit.trust[k] * worthOf(this.ratio[k])
      evidence += worth[k]
    }
    this.evidence = hasHoles(worth, fitted) ? 0 : evidence
  }
}

/** Costs 1.08 in deviation (measured); with less, what is not modelled leaks in from afar. */
const taper = 0.15

/** B beyond this is no string: six times what is searched for (combsearch.ts), room for a step too far (assumption). */
const mostStiffness = 2e-3
/**
 * A step that turns the highest partial less than this in half a span changes nothing any more. Of a turn of r a measurement misses
 * r^2 / 15 of itself (a flat window's first moment over its zeroth, r/3 - r^3/30 over 1 - r^2/6): 1e-3 rad here, a tenth of what
 * noise does to a partial 40 dB over it.
 */
const settledRad = 0.25
/** Beyond, the measured turn misses over 2 % of itself by the same series and partials cross-talk: it means little (assumption). */
const lostRad = 0.6
/** A partial turned twice as far says nothing to the guarded fit (assumption). */
const wildRad = 2 * lostRad
/** The power form is linear in the turn; here it falls short by r^2 / 10, 0.2 %. */
const smallRad = 0.15
/** A partial whose place is doubted by more than this, one deviation, waits for the lower ones: twice that is a third of pi. */
const sureRad = 0.5
/** Pitch and stiffness take two partials; a third tells whether they agree. */
const leastSure = 3
/** The ridge is searched so far, deviations of B: 99 of 100 strings lie within. */
const ridgeSds = 2.5
/** Steps to either side: nine sums cost as much as two steps of the fit (assumption). */
const ridgeSteps = 4
/** A step turns the highest partial so much; half a step off, its power has fallen by (sin 0.45 / 0.45)^2, 7 %. */
const ridgeRad = 0.9
/** What is left of B's doubt, in steps: twice the deviation of a place drawn evenly from one step, 1 / sqrt(12). */
const ridgeLeft = 0.6
/** -100 dB under the strongest partial rounding and skirts are all there is (assumption, as in combsearch.ts). */
const leastNoise = 1e-10
/** In the search, what lies this far (-40 dB) under the strongest partial may be its skirt (assumption). */
const searchFloor = 1e-4
