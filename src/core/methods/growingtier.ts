/**
 * One of the growing fit's two ways of hearing: the stream lowered to some number of partials, its newest samples, and the
 * spans that are fitted there. Short spans hear many partials at a high rate, long ones fewer at a low rate: a measurement
 * costs partials times samples, and in a long span the low partials say enough.
 */
import { searchCents } from './combsearch.ts'
import { Decimator } from './decimator.ts'
import { GrowingFrame } from './growingframe.ts'
import { partialHz } from './stringlaw.ts'

const sharpest = 2 ** (searchCents / 1200)

export interface TierShape {
  readonly partials: number
  /** Partials above are left out; high notes keep three and a half all the same. */
  readonly usefulHz: number
  readonly shortestS: number
  readonly longestS: number
}

export class GrowingTier {
  readonly frame: GrowingFrame
  readonly rateHz: number
  readonly passHz: number
  readonly partials: number
  /** Lowered samples so far. */
  outputs = 0
  /** The newest lowered samples, each kept twice: any span ends without a wrap. */
  readonly recent: Float64Array
  readonly reach: number
  readonly factor: number
  readonly #decimator: Decimator
  readonly #kept: number
  #at = 0

  constructor(sampleRateHz: number, targetHz: number, shape: TierShape) {
    const ceilingHz = Math.min(Math.max(shape.usefulHz, 3.5 * targetHz), 0.42 * sampleRateHz)
    const partials = Math.min(shape.partials, Math.max(1, Math.floor(ceilingHz / (targetHz * sharpest))))
    this.partials = partials
    this.passHz = Math.min(
      0.45 * sampleRateHz,
      1.02 * partialHz({ f1Hz: targetHz * sharpest, stiffness: 2.5e-4 }, partials),
    )
    this.factor = Math.max(1, Math.floor(sampleRateHz / (3.1 * this.passHz)))
    this.#decimator = new Decimator(sampleRateHz, this.factor, this.passHz)
    this.reach = this.#decimator.reachSamples
    this.rateHz = sampleRateHz / this.factor
    const longest = shape.longestS * this.rateHz
    const lengths: number[] = []
    for (let length = shape.shortestS * this.rateHz; length <= longest; length *= rungRatio)
      lengths.push(2 * Math.floor(length / 2) + 1)
    this.frame = new GrowingFrame(this.rateHz, partials, lengths)
    this.#kept = Math.ceil(longest) + 16
    this.recent = new Float64Array(2 * this.#kept)
  }

  hear(sample: number): void {
    if (!this.#decimator.push(sample)) return
    this.recent[this.#at] = this.#decimator.output
    this.recent[this.#at + this.#kept] = this.#decimator.output
    this.#at = this.#at + 1 === this.#kept ? 0 : this.#at + 1
    this.outputs++
  }

  /** Where a span that ends with the newest sample ends in `recent`. */
  get end(): number {
    return this.#at + this.#kept
  }

  /** Lowered samples since input sample `start`. */
  since(start: number): number {
    return this.outputs - Math.ceil(Math.max(0, start) / this.factor)
  }

  /** Longest rung of at most so many lowered samples; -1: none. */
  rungOf(samples: number): number {
    const { lengths } = this.frame
    let rung = lengths.length - 1
    while (rung >= 0 && lengths[rung] > samples) rung--
    return rung
  }

  load(rung: number): void {
    this.frame.load(rung, this.recent, this.end)
  }

  /** The input sample that the first sample of a rung that ends now speaks of. */
  startOf(rung: number): number {
    return (this.outputs - this.frame.lengths[rung]) * this.factor
  }

  /** Seconds of a rung. */
  secondsOf(rung: number): number {
    return this.frame.lengths[rung] / this.rateHz
  }
}

/** From one length to the next: at most a third of the information of the span is left out. */
const rungRatio = 1.25
