/**
 * Lag products of a frame, r(t) = sum of x[j] x[j + t] for t = 0..lags, by the Fourier transform.
 *
 * The frame is cut into a head and a tail, x = a + b, each transformed alone. conj(A)(A + B) gives the products whose
 * earlier factor lies in the head; |B|^2 adds those that begin in the tail. With head + lags <= size and tail + lags
 * <= size no product wraps around, so a frame that fills the whole transform needs no zero padding to twice its length
 * (a plain autocorrelation would: Rabiner & Schafer 1978, section 4.6, on circular wrap-around).
 * Rounding is about 1e-15 of r(0): differences of lag products keep that absolute error, not a relative one.
 */
import { RealFourier } from '../maths/fourier.ts'

export class LagProducts {
  readonly #fourier: RealFourier
  readonly #frameSamples: number
  readonly #split: number
  readonly #fixedSplit: number
  readonly #head: Float64Array
  readonly #tail: Float64Array
  readonly #headRe: Float64Array
  readonly #headIm: Float64Array
  readonly #tailRe: Float64Array
  readonly #tailIm: Float64Array
  readonly #result: Float64Array
  readonly lags: number

  /** @param lags largest lag wanted; at most half of `frameSamples`. */
  constructor(frameSamples: number, lags: number) {
    let size = 1
    while (size < frameSamples) size *= 2
    this.#fourier = new RealFourier(size)
    this.#frameSamples = frameSamples
    this.lags = lags
    this.#split = Math.min(frameSamples, size - lags)
    this.#fixedSplit = frameSamples - lags
    this.#head = new Float64Array(size)
    this.#tail = new Float64Array(size)
    this.#headRe = new Float64Array(size / 2 + 1)
    this.#headIm = new Float64Array(size / 2 + 1)
    this.#tailRe = new Float64Array(size / 2 + 1)
    this.#tailIm = new Float64Array(size / 2 + 1)
    this.#result = new Float64Array(size)
  }

  /** All products inside the frame: frameSamples - t of them at lag t. Fills `out[0..lags]`; allocates nothing. */
  shrinking(frame: ArrayLike<number>, out: Float64Array): void {
    this.#products(frame, this.#split, true, out)
  }

  /** The same number of products at every lag: those whose earlier factor lies in the first frameSamples - lags. */
  fixed(frame: ArrayLike<number>, out: Float64Array): void {
    this.#products(frame, this.#fixedSplit, false, out)
  }

  #products(frame: ArrayLike<number>, split: number, withTail: boolean, out: Float64Array): void {
    const n = this.#frameSamples
    const head = this.#head
    const tail = this.#tail
    // Samples beyond the frame are 0 from set-up; within it the two parts are complementary.
    for (let j = 0; j < split; j++) {
      head[j] = frame[j]
      tail[j] = 0
    }
    for (let j = split; j < n; j++) {
      head[j] = 0
      tail[j] = frame[j]
    }
    const { size } = this.#fourier
    const aRe = this.#headRe
    const aIm = this.#headIm
    const bRe = this.#tailRe
    const bIm = this.#tailIm
    this.#fourier.forward(head, aRe, aIm)
    if (split < n) this.#fourier.forward(tail, bRe, bIm)
    const tailWeight = withTail ? 1 : 0
    for (let k = 0; k <= size / 2; k++) {
      const ar = aRe[k]
      const ai = aIm[k]
      const br = bRe[k]
      const bi = bIm[k]
      aRe[k] = ar * (ar + br) + ai * (ai + bi) + tailWeight * (br * br + bi * bi)
      aIm[k] = ar * bi - ai * br
    }
    this.#fourier.inverse(aRe, aIm, this.#result)
    const result = this.#result
    for (let t = 0; t <= this.lags; t++) out[t] = result[t]
  }
}
