/**
 * Discrete Fourier transforms of power-of-two size, X[k] = sum over n of x[n] exp(-2 pi i k n / N).
 *
 * A real transform of size N runs as a complex one of size N / 2 over the even and odd samples, then the two are told apart
 * (Press et al., Numerical Recipes, section 12.3). Twiddles are portable and the passes are + - *, so a transform gives the same
 * bits in every engine. No call allocates. The passes are our own because a package that other code in the thread feeds with
 * plain arrays is slowed down for everybody (measured: 36 us a 4096 real transform became 50).
 */
import { firstPass, lastPassOf2, lastPassOf4, lastPassOf8, middlePass } from './butterflies.ts'
import { cos, sin } from './portable.ts'

export type Samples = Float32Array | Float64Array | readonly number[]

/** Complex transform. Size a power of two, at least 8. */
export class ComplexFourier {
  readonly size: number
  /** Where `forward` leaves its result; overwritten by the next call. */
  readonly re: Float64Array
  readonly im: Float64Array
  readonly #twiddles: Float64Array
  readonly #otherRe: Float64Array
  readonly #otherIm: Float64Array
  /** An even number of passes in all: the first one must then write to the other pair. */
  readonly #startsInOther: boolean

  constructor(size: number) {
    checkSize(size, 8)
    this.size = size
    const [re, im, otherRe, otherIm] = arraysApart(size)
    this.re = re
    this.im = im
    this.#otherRe = otherRe
    this.#otherIm = otherIm
    this.#twiddles = twiddles(size)
    let passes = 2
    for (let n = size >> 2; n > 8; n >>= 2) passes++
    this.#startsInOther = passes % 2 === 0
  }

  /** Of 2 * size interleaved values (re, im, re, im ...) into `this.re` and `this.im`. */
  forward(interleaved: Float64Array): void {
    let fromRe = this.#startsInOther ? this.#otherRe : this.re
    let fromIm = this.#startsInOther ? this.#otherIm : this.im
    let toRe = this.#startsInOther ? this.re : this.#otherRe
    let toIm = this.#startsInOther ? this.im : this.#otherIm
    firstPass(interleaved, this.size, this.#twiddles, fromRe, fromIm)
    let n = this.size >> 2
    let stride = 4
    for (; n > 8; n >>= 2, stride *= 4) {
      middlePass(fromRe, fromIm, n, stride, this.#twiddles, toRe, toIm)
      const re = fromRe
      const im = fromIm
      fromRe = toRe
      fromIm = toIm
      toRe = re
      toIm = im
    }
    if (n === 8) lastPassOf8(fromRe, fromIm, stride, toRe, toIm)
    else if (n === 4) lastPassOf4(fromRe, fromIm, stride, toRe, toIm)
    else lastPassOf2(fromRe, fromIm, stride, toRe, toIm)
  }
}

/** Transform of a real signal. Size a power of two, at least 16. */
export class RealFourier {
  readonly size: number
  readonly #half: ComplexFourier
  readonly #packed: Float64Array
  /** cos and -sin of 2 pi k / size for k up to size / 4. */
  readonly #twist: Float64Array
  readonly #re: Float64Array
  readonly #im: Float64Array

  constructor(size: number) {
    checkSize(size, 16)
    this.size = size
    this.#half = new ComplexFourier(size / 2)
    this.#packed = new Float64Array(size)
    this.#twist = twiddles(size).slice(0, size / 2 + 2)
    this.#re = new Float64Array(size / 2 + 1)
    this.#im = new Float64Array(size / 2 + 1)
  }

  /** Reads up to `size` samples; a shorter input is followed by zeros. `re` and `im` take size / 2 + 1 bins. */
  forward(input: Samples, re: Float64Array, im: Float64Array): void {
    this.#load(input)
    this.#half.forward(this.#packed)
    const half = this.size >> 1
    const zRe = this.#half.re
    const zIm = this.#half.im
    const twist = this.#twist
    re[0] = zRe[0] + zIm[0]
    im[0] = 0
    re[half] = zRe[0] - zIm[0]
    im[half] = 0
    for (let k = 1, mirror = half - 1; k <= mirror; k++, mirror--) {
      const evenRe = 0.5 * (zRe[k] + zRe[mirror])
      const evenIm = 0.5 * (zIm[k] - zIm[mirror])
      const oddRe = 0.5 * (zIm[k] + zIm[mirror])
      const oddIm = 0.5 * (zRe[mirror] - zRe[k])
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

  /** |X|^2 into size / 2 + 1 bins of `out`. */
  power(input: Samples, out: Float64Array): void {
    const re = this.#re
    const im = this.#im
    this.forward(input, re, im)
    for (let k = 0; k < re.length; k++) out[k] = re[k] * re[k] + im[k] * im[k]
  }

  /**
   * The real signal of size / 2 + 1 bins: undoes `forward`. Imaginary parts at 0 and size / 2 are ignored.
   * Writes `size` samples; `re`, `im` and `out` stay the caller's.
   */
  inverse(re: Float64Array, im: Float64Array, out: Float64Array): void {
    const half = this.size >> 1
    const packed = this.#packed
    const twist = this.#twist
    // Real and imaginary part change places, so that the forward transform runs backwards.
    packed[0] = re[0] - re[half]
    packed[1] = re[0] + re[half]
    for (let k = 1, mirror = half - 1; k <= mirror; k++, mirror--) {
      const evenRe = re[k] + re[mirror]
      const evenIm = im[k] - im[mirror]
      const lessRe = re[k] - re[mirror]
      const lessIm = im[k] + im[mirror]
      const c = twist[2 * k]
      const s = -twist[2 * k + 1]
      const oddRe = lessRe * c - lessIm * s
      const oddIm = lessRe * s + lessIm * c
      packed[2 * k] = evenIm + oddRe
      packed[2 * k + 1] = evenRe - oddIm
      packed[2 * mirror] = oddRe - evenIm
      packed[2 * mirror + 1] = evenRe + oddIm
    }
    this.#half.forward(packed)
    const scale = 1 / this.size
    const even = this.#half.im
    const odd = this.#half.re
    for (let j = 0; j < half; j++) {
      out[2 * j] = even[j] * scale
      out[2 * j + 1] = odd[j] * scale
    }
  }

  /**
   * Circular autocorrelation, sum over n of x[n] x[n + lag], into `size` values of `out`.
   * Since the input is followed by zeros it is the linear one for lags up to size - input.length.
   */
  autocorrelate(input: Samples, out: Float64Array): void {
    this.power(input, this.#re)
    this.#im.fill(0)
    this.inverse(this.#re, this.#im, out)
  }

  #load(input: Samples): void {
    const packed = this.#packed
    if (input.length <= this.size) {
      packed.set(input)
      packed.fill(0, input.length)
    } else {
      for (let i = 0; i < this.size; i++) packed[i] = input[i]
    }
  }
}

function checkSize(size: number, smallest: number): void {
  if (size < smallest || !Number.isInteger(Math.log2(size))) {
    throw new RangeError(`transform size ${size} is not a power of two from ${smallest} up`)
  }
}

/**
 * Four arrays of `size`, started 1 kB apart within a page. A pass walks through them in step at power-of-two distances; arrays
 * that start at the same place of a 4 kB page would compete for the same few lines of the first-level cache.
 */
function arraysApart(size: number): Float64Array[] {
  const apart = 128
  const buffer = new ArrayBuffer(8 * 4 * (size + apart))
  return [0, 1, 2, 3].map((i) => new Float64Array(buffer, 8 * i * (size + apart), size))
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
