/**
 * Level of an input: peak, mean power with a time constant, and a held overload.
 *
 * Decibels of full scale: a sine whose peak is 1 reads 0 dB in power as in peak, so power stands 3.01 dB higher than ten
 * logarithms of the mean square (the convention of AES17-2015, from memory). Power is weighted exponentially; 0.3 s is common
 * practice, no source. An overload is a sample at full scale; what clipped before the converter at less is not seen.
 */
import { fullScale } from './partfaults.ts'

const timeConstantS = 0.3

export class LevelMeter {
  /** Since the last reset; stays until then. */
  overloaded = false
  #peak = 0
  #power = 0
  readonly #step: number

  constructor(sampleRateHz: number) {
    this.#step = 1 - Math.exp(-1 / (timeConstantS * sampleRateHz))
  }

  /** One sample, finite; full scale is 1. Does not allocate. */
  push(sample: number): void {
    const size = Math.abs(sample)
    if (size > this.#peak) this.#peak = size
    if (size >= fullScale) this.overloaded = true
    this.#power += this.#step * (sample * sample - this.#power)
  }

  /** Highest since the last reset, dB of full scale; -Infinity: silence. */
  get peakDb(): number {
    return 20 * Math.log10(this.#peak)
  }

  /** dB of a full-scale sine; -Infinity: silence. */
  get rmsDb(): number {
    return 10 * Math.log10(2 * this.#power)
  }

  reset(): void {
    this.#peak = 0
    this.overloaded = false
  }
}
