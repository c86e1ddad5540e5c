/**
 * Discrete Fourier transforms of power-of-two size, X[k] = sum over n of x[n] exp(-2 pi i k n / N).
 *
 * The only file that touches the package fft.js. Its twiddle table is overwritten with portable values, and its passes are
 * + - *, so a transform gives the same bits in every engine. It is fed plain arrays of doubles only, and so must be whatever else
 * in the thread uses it: a mixture of array kinds makes it half as slow again for everybody (measured: yin 117 us a frame
 * alone, 170 beside a package that fed it Float32Arrays). A real transform of
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
  /**
   * 2 * size interleaved values (re, im, re, im ...): fill all of `input`, `forward`, read `output`. Every transform of this
   * size in the thread uses the same two arrays, so nothing may be left in them for later.
   */
  readonly input: number[]
  readonly output: readonly number[]
  readonly #engine: Engine
  readonly #out: number[]

  constructor(size: number) {
    checkSize(size, 8)
    this.size = size
    const { engine, data, out } = benchOf(size)
    this.#engine = engine
    this.#out = out
    this.input = data
    this.output = out
  }

  /** From `input` to `output`. */
  forward(): void {
    this.#engine.transform(this.#out, this.input)
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
  const table = doubles(2 * size)
  for (const [i, value] of twiddles(size).entries()) table[i] = value
  engine.table = table
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
  /**
   * `size` values that may be filled in place and handed over as the input, which saves copying them. Shared as
   * ComplexFourier's are: what is left in it is gone with the next transform.
   */
  readonly input: number[]
  readonly #half: ComplexFourier
  /** cos and -sin of 2 pi k / size for k up to size / 4. */
  readonly #twist: Float64Array
  readonly #re: Float64Array
  readonly #im: Float64Array

  constructor(size: number) {
    checkSize(size, 16)
    this.size = size
    this.#half = new ComplexFourier(size / 2)
    this.input = this.#half.input
    this.#twist = twistOf(size)
    this.#re = new Float64Array(size / 2 + 1)
    this.#im = new Float64Array(size / 2 + 1)
  }

  /** Reads up to `size` samples; a shorter input is followed by zeros. `re` and `im` take size / 2 + 1 bins. */
  forward(input: Samples, re: Float64Array, im: Float64Array): void {
    this.#load(input)
    this.#half.forward()
    const half = this.size >> 1
    const z = this.#half.output
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

  /** |X|^2 into `out`: size / 2 + 1 bins, or only the first ones when it is shorter. */
  power(input: Samples, out: Float64Array): void {
    this.#load(input)
    this.#half.forward()
    const half = this.size >> 1
    const z = this.#half.output
    const twist = this.#twist
    const bins = out.length
    out[0] = (z[0] + z[1]) ** 2
    if (bins > half) out[half] = (z[0] - z[1]) ** 2
    const last = Math.min(bins - 1, half >> 1)
    for (let k = 1, mirror = half - 1; k <= last; k++, mirror--) {
      const evenRe = 0.5 * (z[2 * k] + z[2 * mirror])
      const evenIm = 0.5 * (z[2 * k + 1] - z[2 * mirror + 1])
      const oddRe = 0.5 * (z[2 * k + 1] + z[2 * mirror + 1])
      const oddIm = 0.5 * (z[2 * mirror] - z[2 * k])
      const c = twist[2 * k]
      const s = twist[2 * k + 1]
      const turnedRe = oddRe * c - oddIm * s
      const turnedIm = oddRe * s + oddIm * c
      const re = evenRe + turnedRe
      const im = evenIm + turnedIm
      out[k] = re * re + im * im
      if (mirror >= bins) continue
      const mirrorRe = evenRe - turnedRe
      const mirrorIm = turnedIm - evenIm
      out[mirror] = mirrorRe * mirrorRe + mirrorIm * mirrorIm
    }
  }

  /**
   * The real signal of size / 2 + 1 bins: undoes `forward`. Imaginary parts at 0 and size / 2 are ignored.
   * Writes `size` samples; `re`, `im` and `out` stay the caller's.
   */
  inverse(re: Float64Array, im: Float64Array, out: Float64Array): void {
    const half = this.size >> 1
    const packed = this.input
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
    this.#half.forward()
    const scale = 1 / this.size
    const swapped = this.#half.output
    for (let j = 0; j < this.size; j += 2) {
      out[j] = swapped[j + 1] * scale
      out[j + 1] = swapped[j] * scale
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
    const packed = this.input
    if (input === packed) return
    const given = Math.min(input.length, this.size)
    for (let i = 0; i < given; i++) packed[i] = input[i]
    for (let i = given; i < this.size; i++) packed[i] = 0
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
