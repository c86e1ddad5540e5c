/**
 * The power spectrum of one frame through a Hann window, and frequencies read from it.
 *
 * The frame is followed by zeros to at least twice its length: a parabola through the logarithm of three bins then errs by
 * under a hundredth of an unpadded bin. `refineHz` does better for a line that stands alone: the ratio R of the transform's
 * size half a bin above and below a Hann-windowed tone gives its distance from the middle, 1.5 (R - 1) / (R + 1) bins,
 * exactly (Grandke 1983, IEEE Trans. Instrum. Meas. 32:350-355). Other lines, and the tone's own mirror image at low
 * frequencies, add what leaks through the window.
 */
import { LowPower } from '../maths/lowpower.ts'
import { hann } from '../maths/windows.ts'

/** A mean over thousands of samples is known to 1e-13 of itself; what is left of a constant under it is no sound. */
const roundingOfMean = 1e-12

export class FrameSpectrum {
  /** |X|^2 of the last frame from 0 Hz to `topHz` or just above, every `binHz`. */
  readonly power: Float64Array
  readonly binHz: number
  /** Spectrum bins per bin of an unpadded transform. */
  readonly padding: number
  readonly #sampleRateHz: number
  readonly #window: Float64Array
  readonly #windowSum: number
  readonly #windowed: Float64Array
  readonly #spectrum: LowPower

  /**
   * `topHz`: how far up the spectrum is needed; by default all of it. `refineHz` and what is said of `parabolaHz` hold for the
   * Hann window only. `way`: 'halved' lowers the rate first where `topHz` allows, quicker and good to a millionth of what lies above
   * (lowpower.ts).
   */
  constructor(
    length: number,
    sampleRateHz: number,
    topHz = sampleRateHz,
    window = hann(length),
    way: 'whole' | 'halved' = 'whole',
  ) {
    let size = 4
    while (size < 2 * length) size *= 2
    this.padding = size / length
    this.binHz = sampleRateHz / size
    this.power = new Float64Array(Math.min(size / 2 + 1, Math.ceil(topHz / this.binHz) + 2))
    this.#sampleRateHz = sampleRateHz
    this.#window = window
    this.#windowSum = this.#window.reduce((sum, weight) => sum + weight, 0)
    const heldHz = way === 'halved' ? (this.power.length - 1) * this.binHz : sampleRateHz
    this.#spectrum = new LowPower(length, size, heldHz / sampleRateHz)
    this.#windowed = this.#spectrum.input.subarray(0, length)
  }

  /** Takes a frame of `length` samples, less its mean under the window: a steady offset is no note. Does not allocate. */
  load(frame: Float32Array): void {
    const windowed = this.#windowed
    const window = this.#window
    const length = windowed.length
    // Two sums side by side: one would wait for itself at every sample.
    let even = 0
    let odd = 0
    for (let i = 0; i + 1 < length; i += 2) {
      even += frame[i] * window[i]
      odd += frame[i + 1] * window[i + 1]
    }
    if (length % 2 === 1) even += frame[length - 1] * window[length - 1]
    const mean = (even + odd) / this.#windowSum
    const rounding = roundingOfMean * Math.abs(mean)
    for (let i = 0; i < length; i++) {
      const value = frame[i] - mean
      windowed[i] = Math.abs(value) > rounding ? value * window[i] : 0
    }
    this.#spectrum.into(this.power)
  }

  /** Highest bin in `from`..`to`, both included and at least 1 away from the spectrum's ends; -1 if it is no peak there. */
  peakBin(from: number, to: number): number {
    const { power } = this
    const low = Math.max(1, from)
    const high = Math.min(power.length - 2, to)
    if (high < low) return -1
    let peak = low
    for (let i = low + 1; i <= high; i++) if (power[i] > power[peak]) peak = i
    return power[peak] > 0 && power[peak] >= power[peak - 1] && power[peak] >= power[peak + 1] ? peak : -1
  }

  /** Frequency of the line that peaks at `bin`, by a parabola through the logarithms. */
  parabolaHz(bin: number): number {
    const left = Math.log(this.power[bin - 1])
    const middle = Math.log(this.power[bin])
    const right = Math.log(this.power[bin + 1])
    const curve = left - 2 * middle + right
    return (bin + (curve < 0 ? (0.5 * (left - right)) / curve : 0)) * this.binHz
  }

  /** Frequency of the line nearest `hz`, by the ratio half an unpadded bin to either side. */
  refineHz(hz: number): number {
    const windowed = this.#windowed
    const unpaddedHz = this.binHz * this.padding
    const above = (2 * Math.PI * (hz + unpaddedHz / 2)) / this.#sampleRateHz
    const below = (2 * Math.PI * (hz - unpaddedHz / 2)) / this.#sampleRateHz
    const aboveStepC = Math.cos(above)
    const aboveStepS = Math.sin(above)
    const belowStepC = Math.cos(below)
    const belowStepS = Math.sin(below)
    let aboveC = 1
    let aboveS = 0
    let belowC = 1
    let belowS = 0
    let aboveRe = 0
    let aboveIm = 0
    let belowRe = 0
    let belowIm = 0
    // Both in one pass: each turns on its own, so neither waits for the other.
    for (let i = 0; i < windowed.length; i++) {
      const value = windowed[i]
      aboveRe += value * aboveC
      aboveIm += value * aboveS
      belowRe += value * belowC
      belowIm += value * belowS
      const nextAbove = aboveC * aboveStepC - aboveS * aboveStepS
      aboveS = aboveS * aboveStepC + aboveC * aboveStepS
      aboveC = nextAbove
      const nextBelow = belowC * belowStepC - belowS * belowStepS
      belowS = belowS * belowStepC + belowC * belowStepS
      belowC = nextBelow
    }
    const sizeAbove = Math.sqrt(aboveRe * aboveRe + aboveIm * aboveIm)
    const sizeBelow = Math.sqrt(belowRe * belowRe + belowIm * belowIm)
    const sum = sizeAbove + sizeBelow
    return sum > 0 ? hz + (1.5 * (sizeAbove - sizeBelow) * unpaddedHz) / sum : hz
  }

  /**
   * Frequency of the line nearest `hz` by the phase it gains over one sample: of `frame`, `length` + 1 samples long, the first
   * and the last `length` through the window. Exact for a line alone; a steady offset leaks as other lines do.
   */
  advanceHz(frame: Float32Array, hz: number): number {
    const window = this.#window
    const omega = (2 * Math.PI * hz) / this.#sampleRateHz
    const stepC = Math.cos(omega)
    const stepS = Math.sin(omega)
    let c = 1
    let s = 0
    let re = 0
    let im = 0
    let nextRe = 0
    let nextIm = 0
    for (let i = 0; i < window.length; i++) {
      const now = window[i] * frame[i]
      const then = window[i] * frame[i + 1]
      re += now * c
      im -= now * s
      nextRe += then * c
      nextIm -= then * s
      const next = c * stepC - s * stepS
      s = s * stepC + c * stepS
      c = next
    }
    // Less than half a turn for everything below half the rate.
    return (this.#sampleRateHz * Math.atan2(nextIm * re - nextRe * im, nextRe * re + nextIm * im)) / (2 * Math.PI)
  }
}
