/**
 * Decaying partials that can be retuned at any sample without a jump: each is a number that turns and shrinks.
 *
 * z[n+1] = r e^(i w) z[n], heard is the imaginary part, so a partial starts as a sine from zero. Retuning replaces w and keeps z.
 * Rounding changes sizes by some 1e-16 a sample: nothing over the life of a string.
 */
import { cos, exp, sin } from '../maths/portable.ts'
import type { Voice } from '../scene/oscillators.ts'

/** -100 dB under the strongest one's start: no longer there. */
const silent = 1e-5
/** Nothing may turn by half the rate. */
const highestShare = 0.495

export class Voices {
  /** Still heard; what died lies beyond. */
  #count: number
  readonly #angle: Float64Array
  /** Factors a sample: before the knee, after it, in use. */
  readonly #early: Float64Array
  readonly #late: Float64Array
  readonly #turnRe: Float64Array
  readonly #turnIm: Float64Array
  readonly #re: Float64Array
  readonly #im: Float64Array
  readonly #leastPower: number
  #ratio = 1
  #isLate = false

  constructor(voices: readonly Voice[], sampleRateHz: number) {
    this.#count = voices.length
    const factor = (decayPerS: number): number => exp(-decayPerS / sampleRateHz)
    this.#angle = Float64Array.from(voices, ({ frequencyHz }) => (2 * Math.PI * frequencyHz) / sampleRateHz)
    this.#early = Float64Array.from(voices, ({ decayPerS }) => factor(decayPerS))
    this.#late = Float64Array.from(voices, ({ decayPerS, lateDecayPerS = decayPerS }) => factor(lateDecayPerS))
    this.#re = Float64Array.from(voices, ({ amplitude }) => amplitude)
    this.#im = new Float64Array(voices.length)
    this.#turnRe = new Float64Array(voices.length)
    this.#turnIm = new Float64Array(voices.length)
    const strongest = voices.reduce((most, { amplitude }) => Math.max(most, Math.abs(amplitude)), 0)
    this.#leastPower = (silent * strongest) ** 2
  }

  /** Every frequency becomes `ratio` times what it was laid out for. */
  tune(ratio: number): void {
    this.#ratio = ratio
    for (let k = 0; k < this.#count; k++) this.#turn(k)
  }

  pastKnee(): void {
    if (this.#isLate) return
    this.#isLate = true
    this.tune(this.#ratio)
  }

  /** All fall by another factor a sample from here on. */
  dampen(factor: number): void {
    for (let k = 0; k < this.#count; k++) {
      this.#early[k] *= factor
      this.#late[k] *= factor
    }
    this.tune(this.#ratio)
  }

  add(sum: Float64Array, length: number): void {
    for (let k = 0; k < this.#count; k++) {
      const [c, s] = [this.#turnRe[k], this.#turnIm[k]]
      let [re, im] = [this.#re[k], this.#im[k]]
      for (let i = 0; i < length; i++) {
        sum[i] += im
        const next = c * re - s * im
        im = s * re + c * im
        re = next
      }
      this.#re[k] = re
      this.#im[k] = im
    }
  }

  dropSilent(): void {
    for (let k = this.#count - 1; k >= 0; k--) {
      if (this.#re[k] * this.#re[k] + this.#im[k] * this.#im[k] >= this.#leastPower) continue
      const last = --this.#count
      for (const values of [this.#angle, this.#early, this.#late, this.#turnRe, this.#turnIm, this.#re, this.#im]) {
        values[k] = values[last]
      }
    }
  }

  #turn(k: number): void {
    const angle = Math.min(2 * Math.PI * highestShare, this.#angle[k] * this.#ratio)
    const factor = this.#isLate ? this.#late[k] : this.#early[k]
    this.#turnRe[k] = factor * cos(angle)
    this.#turnIm[k] = factor * sin(angle)
  }
}
