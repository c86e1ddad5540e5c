/**
 * Discrete Fourier transforms of power-of-two size, X[k] = sum over n of x[n] exp(-2 pi i k n / N).
 *
 * The only file that touches the package fft.js. Its twiddle table is overwritten with portable values, and its passes are
 * + - *, so a transform gives the same bits in every engine. It is fed plain arrays only, as other packages in the thread do:
 * a mixture of array kinds makes it slower for everybody (measured: 36 us a 4096 real transform became 50). A real transform of
 * size N runs as a complex one of size N / 2 over the even and odd samples, then the two are told apart (Press et al.,
 * Numerical Recipes, section 12.3). No call allocates.
 */
import FFT from 'fft.js'
import { cos, sin } from './portable.ts'

export type Samples = Float32Array | Float64Array | readonly number[]

/** What is used of fft.js 4.0.4, whose own types say `any`. */
interface Engine {
  table: number[]
  transform(out: number[], data: readonly number[]): void
}

/** Complex transform. Size a power of two, at least 8. */
export class ComplexFourier {
  readonly size: number
  /** Where `forward` leaves its result; overwritten by the next call. */
  readonly re: Float64Array
  readonly im: Float64Array
  readonly #engine: Engine
  readonly #data: number[]
  readonly #out: number[]

  constructor(size: number) {
    checkSize(size, 8)
    this.size = size
    this.re = new Float64Array(size)
    this.im = new Float64Array(size)
    const { engine, data, out } = benchOf(size)
    this.#engine = engine
    this.#data = data
    this.#out = out
  }

  /** Of 2 * size interleaved values (re, im, re, im ...) into `this.re` and `this.im`. */
  forward(interleaved: Float64Array): void {
    const data = this.#data
    const out = this.#out
    for (let i = 0; i < data.length; i++) data[i] = interleaved[i]
    this.#engine.transform(out, data)
    for (let k = 0; k < this.size; k++) {
      this.re[k] = out[2 * k]
      this.im[k] = out[2 * k + 1]
    }
  }
}

interface Workbench {
  readonly engine: Engine
  readonly data: number[]
  readonly out: number[]
}

/**
 * One engine with its scratch arrays a size, made when first asked for: a call leaves nothing behind in them, and every method
 * that opens on a stream would otherwise spend a millisecond on the same table.
 */
const benches = new Map<number, Workbench>()

function benchOf(size: number): Workbench {
  const known = benches.get(size)
  if (known !== undefined) return known
  const engine = new FFT(size) as unknown as Engine
  engine.table = Array.from(twiddles(size))
  const bench = { engine, data: doubles(2 * size), out: doubles(2 * size) }
  benches.set(size, bench)
  return bench
}

const twists = new Map<number, Float64Array>()

/** cos and -sin of 2 pi k / size for k up to size / 4; shared, not to be written to. */
function twistOf(size: number): Float64Array {
  const known = twists.get(size)
  if (known !== undefined) return known
  const twist = twiddles(size).slice(0, size / 2 + 2)
  twists.set(size, twist)
  return twist
}

/** A plain array that the engine holds as doubles from the start: half is no whole number. */
const doubles = (length: number): number[] => new Array<number>(length).fill(0.5)

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
    this.#twist = twistOf(size)
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
