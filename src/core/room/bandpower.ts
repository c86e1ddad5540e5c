/**
 * Power of a span of samples, bin by bin, and between two frequencies.
 *
 * A density is one-sided, Hann-windowed and scaled by the window's own power, as in Welch's method (maths/spectrum.ts); here
 * each segment is handed out, because how much segments differ tells how well their mean is known. Spans are padded to twice
 * their length: a band's edges then fall between bins that are half a resolved bin apart. The mean of a segment, an input's
 * offset, is taken out.
 */
import { RealFourier } from '../maths/fourier.ts'
import { hann } from '../maths/windows.ts'

/** Making a transform takes longer than using it; a take has one or two sizes. */
const fouriers = new Map<number, RealFourier>()

function fourierOf(size: number): RealFourier {
  const fourier = fouriers.get(size) ?? new RealFourier(size)
  fouriers.set(size, fourier)
  return fourier
}

/** Densities of spans of one length. */
export class SegmentDensity {
  readonly binHz: number
  readonly bins: number
  readonly #length: number
  readonly #window: Float64Array
  readonly #frame: Float64Array
  readonly #fourier: RealFourier
  readonly #scale: number

  constructor(length: number, sampleRateHz: number, window: Float64Array = hann(length)) {
    let size = 16
    while (size < 2 * length) size *= 2
    this.#length = length
    this.#window = window
    this.#frame = new Float64Array(size)
    this.#fourier = fourierOf(size)
    this.binHz = sampleRateHz / size
    this.bins = size / 2 + 1
    this.#scale = 2 / (sampleRateHz * window.reduce((sum, w) => sum + w * w, 0))
  }

  /** Take units squared per Hz of the span that starts at `from`, to `out`. Samples beyond the end are 0. Does not allocate. */
  of(samples: Float32Array, from: number, out: Float64Array): void {
    const end = Math.min(this.#length, samples.length - from)
    let mean = 0
    for (let i = 0; i < end; i++) mean += samples[from + i]
    mean /= Math.max(1, end)
    this.#frame.fill(0)
    for (let i = 0; i < end; i++) this.#frame[i] = this.#window[i] * (samples[from + i] - mean)
    this.#fourier.power(this.#frame, out)
    for (let bin = 0; bin < out.length; bin++) out[bin] *= this.#scale
  }
}

/** Power between two frequencies; each bin stands for the half bin to either side of it. */
export function powerBetween(density: Float64Array, binHz: number, lowHz: number, highHz: number): number {
  const [low, high] = [lowHz / binHz, highHz / binHz]
  let sum = 0
  for (let bin = Math.max(0, Math.round(low)); bin <= Math.min(density.length - 1, Math.round(high)); bin++) {
    sum += density[bin] * Math.max(0, Math.min(high, bin + 0.5) - Math.max(low, bin - 0.5))
  }
  return sum * binHz
}

/** Mean square about the mean, from sample `from` to before `to`, as far as there are samples; NaN for none. */
export function powerOfSpan(samples: Float32Array, from: number, to: number): number {
  const [first, last] = [Math.max(0, from), Math.min(samples.length, to)]
  let [sum, squares] = [0, 0]
  for (let i = first; i < last; i++) {
    sum += samples[i]
    squares += samples[i] * samples[i]
  }
  const count = last - first
  return count > 0 ? Math.max(0, squares / count - (sum / count) ** 2) : Number.NaN
}
