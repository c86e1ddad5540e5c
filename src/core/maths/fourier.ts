/**
 * Discrete Fourier transforms of power-of-two size, X[k] = sum over n of x[n] exp(-2 pi i k n / N).
 *
 * The only file that touches the FFT package. Its twiddle table is overwritten with portable values, so that a transform
 * gives the same bits in every engine. A real transform of size N runs as a complex one of size N / 2 over the even and odd
 * samples, then the two are told apart (Press et al., Numerical Recipes, section 12.3). No call allocates.
 */
import FFT from 'fft.js'
import { cos, sin } from './portable.ts'

export type Samples = Float32Array | Float64Array | readonly number[]

interface Engine {
  table: Float64Array | number[]
  transform(out: Float64Array, data: Float64Array): void
}

/** Complex transform of interleaved values (re, im, re, im ...). Size a power of two, at least 2. */
export class ComplexFourier {
  readonly size: number
  readonly #engine: Engine

  constructor(size: number) {
    this.size = size
    this.#engine = new FFT(size) as unknown as Engine
    this.#engine.table = twiddles(size)
  }

  /** `out` and `data` hold 2 * size values and must be different arrays. */
  forward(data: Float64Array, out: Float64Array): void {
    this.#engine.transform(out, data)
  }
}

/** Transform of a real signal. Size a power of two, at least 4. */
export class RealFourier {
  readonly size: number
  readonly #half: ComplexFourier
  readonly #packed: Float64Array
  readonly #transformed: Float64Array
  /** cos, sin of pi k / half for k up to a half of the half. */
  readonly #twist: Float64Array
  readonly #re: Float64Array
  readonly #im: Float64Array

  constructor(size: number) {
    this.size = size
    const half = size / 2
    this.#half = new ComplexFourier(half)
    this.#packed = new Float64Array(size)
    this.#transformed = new Float64Array(size)
    this.#twist = twiddles(size).slice(0, half + 2)
    this.#re = new Float64Array(half + 1)
    this.#im = new Float64Array(half + 1)
  }

  /** Reads up to `size` samples, a shorter input is followed by zeros. `re` and `im` take size / 2 + 1 bins. */
  forward(input: Samples, re: Float64Array, im: Float64Array): void {
    this.#load(input)
    this.#half.forward(this.#packed, this.#transformed)
    this.#untangle(re, im)
  }

  /** |X|^2 into size / 2 + 1 bins of `out`. */
  power(input: Samples, out: Float64Array): void {
    const re = this.#re
    const im = this.#im
    this.forward(input, re, im)
    for (let k = 0; k < re.length; k++) out[k] = re[k] * re[k] + im[k] * im[k]
  }

  /** The real signal of size / 2 + 1 bins: undoes `forward`. Imaginary parts at 0 and size / 2 are ignored. Writes `size` samples. */
  inverse(re: Float64Array, im: Float64Array, out: Float64Array): void {
    const half = this.size >> 1
    const packed = this.#packed
    const twist = this.#twist
    // Real and imaginary part change places, so that the forward transform runs backwards.
    packed[1] = re[0] + re[half]
    packed[0] = re[0] - re[half]
    for (let k = 1, mirror = half - 1; k <= mirror; k++, mirror--) {
      const evenRe = re[k] + re[mirror]
      const evenIm = im[k] - im[mirror]
      const differenceRe = re[k] - re[mirror]
      const differenceIm = im[k] + im[mirror]
      const c = twist[2 * k]
      const s = -twist[2 * k + 1]
      const oddRe = differenceRe * c - differenceIm * s
      const oddIm = differenceRe * s + differenceIm * c
      packed[2 * k + 1] = evenRe - oddIm
      packed[2 * k] = evenIm + oddRe
      packed[2 * mirror + 1] = evenRe + oddIm
      packed[2 * mirror] = oddRe - evenIm
    }
    const transformed = this.#transformed
    this.#half.forward(packed, transformed)
    const scale = 1 / this.size
    for (let j = 0; j < this.size; j += 2) {
      out[j] = transformed[j + 1] * scale
      out[j + 1] = transformed[j] * scale
    }
  }

  /**
   * Circular autocorrelation, sum over n of x[n] x[n + lag], into `size` values of `out`.
   * Linear for lags up to size - input.length, since the input is followed by zeros.
   */
  autocorrelate(input: Samples, out: Float64Array): void {
    const re = this.#re
    const im = this.#im
    this.power(input, re)
    im.fill(0)
    this.inverse(re, im, out)
  }

  #load(input: Samples): void {
    const packed = this.#packed
    const length = Math.min(input.length, this.size)
    for (let i = 0; i < length; i++) packed[i] = input[i]
    if (length < this.size) packed.fill(0, length)
  }

  #untangle(re: Float64Array, im: Float64Array): void {
    const half = this.size >> 1
    const z = this.#transformed
    const twist = this.#twist
    re[0] = z[0] + z[1]
    im[0] = 0
    re[half] = z[0] - z[1]
    im[half] = 0
    for (let k = 1, mirror = half - 1; k <= mirror; k++, mirror--) {
      const evenRe = 0.5 * (z[2 * k] + z[2 * mirror])
      const evenIm = 0.5 * (z[2 * k + 1] - z[2 * mirror + 1])
      const oddRe = 0.5 * (z[2 * k + 1] + z[2 * mirror + 1])
      const oddIm = 0.5 * (z[2 * mirror] - z[2 * k])
      const c = twist[2 * k]
      const s = twist[2 * k + 1]
      const turnedRe = oddRe * c - oddIm * s
      const turnedIm = oddRe * s + oddIm * c
      re[k] = evenRe + turnedRe
      im[k] = evenIm + turnedIm
      re[mirror] = evenRe - turnedRe
      im[mirror] = turnedIm - evenIm
    }
  }
}

/** cos and -sin of 2 pi k / size, interleaved, for k below `size`. */
function twiddles(size: number): Float64Array {
  const table = new Float64Array(2 * size)
  for (let k = 0; k < size; k++) {
    const angle = (2 * Math.PI * k) / size
    table[2 * k] = cos(angle)
    table[2 * k + 1] = -sin(angle)
  }
  return table
}
