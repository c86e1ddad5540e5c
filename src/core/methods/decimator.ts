/**
 * Lowers the sample rate by a whole factor, sample by sample: a linear-phase low-pass (Kaiser-windowed sinc) of which only
 * the outputs that are kept are computed.
 *
 * Output m speaks of input sample m * factor exactly and rests on the inputs up to `reachSamples` to either side: a
 * symmetric filter bends no phase, so it moves no frequency, and its delay is known to the sample. What folds onto
 * 0..passHz is 80 dB down (Kaiser & Schafer 1980, IEEE Trans. ASSP 28:105-107, for length and beta); above passHz folding
 * is allowed, nobody listens there. Factor 1 passes samples through.
 */
import { sin } from '../maths/portable.ts'
import { kaiser } from '../maths/windows.ts'

/** 80 dB: a stage's strongest line folded onto a partial stays under the float noise of a 16-bit recording's hiss. */
const stopDb = 80

export class Decimator {
  readonly factor: number
  /** How far to either side of its middle an output listens. */
  readonly reachSamples: number
  /** The newest output; valid after `push` answered true. */
  output = 0
  readonly #taps: Float64Array
  /** The newest inputs, each kept twice, so that the span a filter needs never wraps. */
  readonly #recent: Float64Array
  #at = 0
  /** Inputs to come before the next output is due. */
  #wait: number

  /** `passHz` must be under half of the rate after decimation. */
  constructor(sampleRateHz: number, factor: number, passHz: number) {
    this.factor = factor
    this.#taps = factor === 1 ? Float64Array.of(1) : lowPassTaps(sampleRateHz, factor, passHz)
    this.reachSamples = (this.#taps.length - 1) / 2
    this.#recent = new Float64Array(2 * this.#taps.length)
    this.#wait = this.reachSamples + 1
  }

  /** True when this sample completed an output. Does not allocate. */
  push(sample: number): boolean {
    const length = this.#taps.length
    this.#recent[this.#at] = sample
    this.#recent[this.#at + length] = sample
    this.#at = this.#at + 1 === length ? 0 : this.#at + 1
    if (--this.#wait > 0) return false
    this.#wait = this.factor
    const taps = this.#taps
    const recent = this.#recent
    const start = this.#at
    let sum = 0
    for (let i = 0; i < length; i++) sum += taps[i] * recent[start + i]
    this.output = sum
    return true
  }
}

function lowPassTaps(sampleRateHz: number, factor: number, passHz: number): Float64Array {
  const outRateHz = sampleRateHz / factor
  const transitionRad = (2 * Math.PI * (outRateHz - 2 * passHz)) / sampleRateHz
  // Kaiser's two formulas for 50 dB and above.
  const beta = 0.1102 * (stopDb - 8.7)
  const reach = Math.ceil((stopDb - 7.95) / (2.285 * transitionRad) / 2)
  const taps = kaiser(2 * reach + 1, beta)
  // The band edge sits in the middle between what is kept and what would fold onto it.
  const edgeRad = (Math.PI * outRateHz) / sampleRateHz
  let sum = 0
  for (let i = 0; i < taps.length; i++) {
    const n = i - reach
    taps[i] *= n === 0 ? edgeRad / Math.PI : sin(edgeRad * n) / (Math.PI * n)
    sum += taps[i]
  }
  for (let i = 0; i < taps.length; i++) taps[i] /= sum
  return taps
}
