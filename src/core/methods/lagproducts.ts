/**
 * Lag products of a frame, r(t) = sum of x[j] x[j + t] for t = 0..lags, by the Fourier transform.
 *
 * The frame is cut into a head and a tail, x = a + b. With A and B their transforms, conj(A)(A + B) gives the products
 * whose earlier factor lies in the head; |B|^2 adds those that begin in the tail. As head + lags <= size and tail + lags
 * <= size no product wraps around, so a frame that fills the whole transform needs no zero padding to twice its length
 * (a plain autocorrelation does: Oppenheim & Schafer, Discrete-Time Signal Processing, on linear by circular convolution).
 * Both halves ride in one complex transform, a + ib, told apart by their symmetry; the product goes back as one complex
 * transform of half the size (Press et al., Numerical Recipes, section 12.3). The middle step does both at once.
 * Rounding is about 1e-15 of r(0): differences of lag products keep that absolute error, not a relative one.
 */
import { ComplexFourier } from '../maths/fourier.ts'
import { cos, sin } from '../maths/portable.ts'

/**
 * `shrinking`: all products inside the frame, frameSamples - t of them at lag t. `fixed`: the same number at every lag,
 * those whose earlier factor lies in the first frameSamples - lags.
 */
export type Overlap = 'shrinking' | 'fixed'

export class LagProducts {
  readonly lags: number
  readonly #frameSamples: number
  readonly #split: number
  readonly #tailWeight: number
  readonly #size: number
  readonly #whole: ComplexFourier
  readonly #half: ComplexFourier
  /** cos, sin of 2 pi k / size, interleaved, for k up to a quarter of size. */
  readonly #turns: Float64Array

  /** @param lags largest lag wanted; at most half of `frameSamples`. */
  constructor(frameSamples: number, lags: number, overlap: Overlap) {
    let size = 16
    while (size < frameSamples) size *= 2
    this.lags = lags
    this.#frameSamples = frameSamples
    this.#split = overlap === 'fixed' ? frameSamples - lags : Math.min(frameSamples, size - lags)
    this.#tailWeight = overlap === 'fixed' ? 0 : 1
    this.#size = size
    this.#whole = new ComplexFourier(size)
    this.#half = new ComplexFourier(size / 2)
    this.#turns = new Float64Array(size / 2 + 2)
    for (let k = 0; k <= size / 4; k++) {
      this.#turns[2 * k] = cos((2 * Math.PI * k) / size)
      this.#turns[2 * k + 1] = sin((2 * Math.PI * k) / size)
    }
  }

  /** Fills `out[0..lags]`; allocates nothing. */
  of(frame: Float32Array | Float64Array, out: Float64Array): void {
    const samples = this.#whole.input
    const split = this.#split
    const length = this.#frameSamples
    for (let j = 0; j < split; j++) {
      samples[2 * j] = frame[j]
      samples[2 * j + 1] = 0
    }
    for (let j = split; j < length; j++) {
      samples[2 * j] = 0
      samples[2 * j + 1] = frame[j]
    }
    for (let i = 2 * length; i < 2 * this.#size; i++) samples[i] = 0
    this.#whole.forward()
    this.#multiply()
    this.#half.forward()
    // Real and imaginary part were swapped so that forward runs backwards: even lags lie in the imaginary part.
    const swapped = this.#half.output
    const scale = 1 / this.#size
    const { lags } = this
    for (let t = 0; t < lags; t += 2) {
      out[t] = swapped[t + 1] * scale
      out[t + 1] = swapped[t] * scale
    }
    if (lags % 2 === 0) out[lags] = swapped[lags + 1] * scale
  }

  #multiply(): void {
    const z = this.#whole.output
    const product = this.#half.input
    const turns = this.#turns
    const weight = this.#tailWeight
    const size = this.#size
    const half = size >> 1
    const first = z[0] * (z[0] + z[1]) + weight * z[1] * z[1]
    const middle = z[size] * (z[size] + z[size + 1]) + weight * z[size + 1] * z[size + 1]
    product[0] = first - middle
    product[1] = first + middle
    for (let k = 1, m = half - 1; k <= m; k++, m--) {
      // Head and tail at bin k, each twice its value.
      let low = 2 * k
      let high = 2 * (size - k)
      let aRe = z[low] + z[high]
      let aIm = z[low + 1] - z[high + 1]
      let bRe = z[low + 1] + z[high + 1]
      let bIm = z[high] - z[low]
      const re = 0.25 * (aRe * (aRe + bRe) + aIm * (aIm + bIm) + weight * (bRe * bRe + bIm * bIm))
      const im = 0.25 * (aRe * bIm - aIm * bRe)
      // The same at bin size / 2 - k.
      low = 2 * m
      high = 2 * (size - m)
      aRe = z[low] + z[high]
      aIm = z[low + 1] - z[high + 1]
      bRe = z[low + 1] + z[high + 1]
      bIm = z[high] - z[low]
      const mirrorRe = 0.25 * (aRe * (aRe + bRe) + aIm * (aIm + bIm) + weight * (bRe * bRe + bIm * bIm))
      const mirrorIm = 0.25 * (aRe * bIm - aIm * bRe)
      // Spectra of the even and the odd lags.
      const evenRe = re + mirrorRe
      const evenIm = im - mirrorIm
      const differenceRe = re - mirrorRe
      const differenceIm = im + mirrorIm
      const c = turns[2 * k]
      const s = turns[2 * k + 1]
      const oddRe = differenceRe * c - differenceIm * s
      const oddIm = differenceRe * s + differenceIm * c
      product[2 * k + 1] = evenRe - oddIm
      product[2 * k] = evenIm + oddRe
      product[2 * m + 1] = evenRe + oddIm
      product[2 * m] = oddRe - evenIm
    }
  }
}
