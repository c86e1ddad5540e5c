/**
 * The last steps of the joint least squares: Gauss-Newton in the two numbers that all partials share.
 *
 * With P_k the power of partial k, N_k the noise in it and e_k its turn, the score of log f1 is the sum of
 * P_k e_k w_k / variance, w_k = Q_k / (Q_k + N_k), and Q_k the string's own power: P_k less noise, evened out between neighbours,
 * for a weak partial's own P_k is mostly chance. Partials that the guarded fit distrusts stay out, and as far as partials
 * are bent beyond their errors they come to count alike (stringlaw.ts); B has the prior given there,
 * and what earlier frames told of it unless this one contradicts (stiffnessmemory.ts).
 */
import type { AimedFrames } from './aimedwise.ts'
import type { PartialFrame } from './partialframe.ts'
import { evenedPower, judgedRatio } from './partialworth.ts'
import { partialHz, type StiffnessPrior, stiffnessPrior, stiffnessSlope } from './stringlaw.ts'

const centsPerRatio = 1200 / Math.LN2

export class JointSettle {
  /** Standard deviation of f1 after `settle`. */
  spreadCents = Number.NaN
  readonly #prior: StiffnessPrior
  readonly #rateHz: number
  readonly #own: Float64Array
  readonly #steps: number

  /** `steps`: 0 works with the partials as they were measured last, and moves once. */
  constructor({ targetHz, rateHz, partials }: AimedFrames, steps: number) {
    this.#prior = stiffnessPrior(targetHz)
    this.#steps = steps
    this.#rateHz = rateHz
    this.#own = new Float64Array(partials)
  }

  /** Moves the law of what was found. False: it ran away. Does not allocate. */
  settle(found: PartialFrame): boolean {
    const { law, omega, moments, fit, fitted, memory } = found
    const start = law.f1Hz
    const bent2 = fit.bentCents * fit.bentCents
    const powers = this.#own
    if (this.#steps === 0) {
      law.f1Hz = found.measured.f1Hz
      law.stiffness = found.measured.stiffness
    }
    for (let step = 0; step < Math.max(1, this.#steps); step++) {
      if (this.#steps > 0) {
        for (let k = 0; k < omega.length; k++) omega[k] = (2 * Math.PI * partialHz(law, k + 1)) / this.#rateHz
        moments.measure(omega, omega.length)
      }
      for (let k = 0; k < fitted; k++) {
        powers[k] = moments.power[k] - found.noiseAt(k) / moments.detectGain
      }
      let sw = 0
      let swx = 0
      let swxx = 0
      let swy = 0
      let swxy = 0
      for (let k = 0; k < fitted; k++) {
        const noise = found.noiseAt(k)
        const power = moments.power[k]
        const chance = noise / moments.detectGain
        const trust = power > judgedRatio * chance ? fit.trust[k] : 1
        const toCents = centsPerRatio / omega[k]
        const kept = evenedPower(powers, k, fitted, power)
        if (!(kept > 0) || trust === 0) continue
        const variance = (moments.errorGain * noise * toCents * toCents) / kept
        const weight = trust / (variance + bent2)
        const slope = stiffnessSlope(k + 1, law.stiffness)
        const turn = power > judgedRatio * chance ? moments.errorRad[k] * power : moments.turnPower[k]
        const push = (weight * turn * toCents) / (kept + chance)
        sw += weight
        swx += weight * slope
        swxx += weight * slope * slope
        swy += push
        swxy += push * slope
      }
      if (!(sw > 0)) return false
      const own = swxx - (swx * swx) / sw
      fit.ownPrecision = own
      fit.ownStiffness = law.stiffness + (own > 0 ? (swxy - (swx * swy) / sw) / own : 0)
      let priorPrecision = 1 / (this.#prior.sd * this.#prior.sd)
      let priorSum = priorPrecision * (this.#prior.mean - law.stiffness)
      if (memory.agrees(fit.ownStiffness, own)) {
        priorPrecision += memory.precision
        priorSum += memory.precision * (memory.stiffness - law.stiffness)
      }
      swxx += priorPrecision
      swxy += priorSum
      const determinant = sw * swxx - swx * swx
      if (!(determinant > 0)) return false
      law.f1Hz *= 2 ** ((swxx * swy - swx * swxy) / determinant / 1200)
      law.stiffness += (sw * swxy - swx * swy) / determinant
      this.spreadCents = Math.sqrt(swxx / determinant)
    }
    // The start lies within a few spreads; a law that left it by more than a quarter tone followed something else.
    return Math.abs(1200 * Math.log2(law.f1Hz / start)) < 50 && Math.abs(law.stiffness) < 2e-3
  }
}
