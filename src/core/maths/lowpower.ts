/**
 * The lower part of a power spectrum, at the bins of a long transform for the price of a shorter one: while the band asked for
 * allows, the sound's rate is halved first (halfband.ts).
 *
 * Against the whole transform every bin is off by what folds into it: a millionth of the amplitude of one bin above the band a
 * halving. Through a Hann window and twice the length a line's logarithm of power bends by 0.65 from bin to bin; with what folds
 * as strong as the line its three values are off by 2e-6, so a parabola through them moves by at most 3e-6 of a bin.
 */
import { RealFourier } from './fourier.ts'
import { HalfBand, widestPass } from './halfband.ts'

/** Halved stretches shorter than this cost more to make than their transforms save (measured). */
const leastHalved = 256

interface Halving {
  readonly filter: HalfBand
  readonly out: Float64Array
  /** Samples that come in, even, and that go out. */
  readonly count: number
  readonly total: number
}

export class LowPower {
  /** `length` samples to be filled by the caller; left alone by `into`. Values after them must stay 0. */
  readonly input: Float64Array
  readonly #halvings: readonly Halving[]
  readonly #fourier: RealFourier

  /**
   * @param length samples of the sound; the transform would be of `size`, a power of two of at least twice as many.
   * @param top highest frequency wanted, as part of the rate.
   */
  constructor(length: number, size: number, top: number) {
    this.input = new Float64Array(length + (length % 2))
    const halvings: Halving[] = []
    let [count, points, pass] = [this.input.length, size, top]
    while (pass <= widestPass && count >= 2 * leastHalved) {
      const filter = new HalfBand(pass)
      const ringing = count / 2 + filter.tailSamples
      const total = Math.min(points / 2, ringing + (ringing % 2))
      halvings.push({ filter, out: new Float64Array(total), count, total })
      count = total
      points /= 2
      pass *= 2
    }
    this.#halvings = halvings
    this.#fourier = new RealFourier(points)
  }

  /** |X|^2 of `input` at every rate / `size` from 0 Hz into `out`, which must end where the band does. Does not allocate. */
  into(out: Float64Array): void {
    let heard = this.input
    for (const { filter, out: halved, count, total } of this.#halvings) {
      filter.halve(heard, count, halved, total)
      heard = halved
    }
    this.#fourier.power(heard, out)
  }
}
