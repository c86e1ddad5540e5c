/**
 * Second-order filters from their analogue models by the bilinear transform, pre-warped so that the corner stays where it is
 * (Oppenheim & Schafer, Discrete-Time Signal Processing, section 7.1). Set up with portable functions, run with + - * alone.
 *
 * With w = s / (2 pi hz): low-pass 1 / (w^2 + w / q + 1), high-pass w^2 over the same, peak (w^2 + w g / q + 1) / (w^2 + w / q + 1)
 * with gain g at hz, shelf (1 + w sqrt(g)) / (1 + w / sqrt(g)) with gain 1 below and g above. Towards half the rate the
 * frequency axis is squeezed: the formulas hold within 0.5 dB below a fifth of the rate.
 */
import { cos, sin } from '../../maths/portable.ts'
import { amplitudeRatioFromDb } from '../../maths/units.ts'

/** y[n] = b0 x[n] + b1 x[n-1] + b2 x[n-2] - a1 y[n-1] - a2 y[n-2]. */
export interface Biquad {
  readonly b0: number
  readonly b1: number
  readonly b2: number
  readonly a1: number
  readonly a2: number
}

/** Corners above this share of the rate are not to be had: callers leave such a filter out. */
export const highestShare = 0.45

/** Analogue polynomials in w, constant term first. */
type Polynomial = readonly [number, number, number]

function bilinear(hz: number, sampleRateHz: number, above: Polynomial, below: Polynomial): Biquad {
  const half = (Math.PI * hz) / sampleRateHz
  // w = c (1 - z^-1) / (1 + z^-1), with w = j at hz.
  const c = cos(half) / sin(half)
  const warped = ([p0, p1, p2]: Polynomial): [number, number, number] => [
    p0 + p1 * c + p2 * c * c,
    2 * (p0 - p2 * c * c),
    p0 - p1 * c + p2 * c * c,
  ]
  const [b0, b1, b2] = warped(above)
  const [a0, a1, a2] = warped(below)
  return { b0: b0 / a0, b1: b1 / a0, b2: b2 / a0, a1: a1 / a0, a2: a2 / a0 }
}

/** Gain q at `hz`. */
export const lowPass = (hz: number, q: number, sampleRateHz: number): Biquad =>
  bilinear(hz, sampleRateHz, [1, 0, 0], [1, 1 / q, 1])

export const highPass = (hz: number, q: number, sampleRateHz: number): Biquad =>
  bilinear(hz, sampleRateHz, [0, 0, 1], [1, 1 / q, 1])

/** Gain `db` at `hz`, none far from it. */
export const peak = (hz: number, q: number, db: number, sampleRateHz: number): Biquad =>
  bilinear(hz, sampleRateHz, [1, amplitudeRatioFromDb(db) / q, 1], [1, 1 / q, 1])

/** Gain 0 dB far below `hz`, half of `db` at `hz`, `db` far above. */
export function shelf(hz: number, db: number, sampleRateHz: number): Biquad {
  const root = amplitudeRatioFromDb(db / 2)
  return bilinear(hz, sampleRateHz, [1, root, 0], [1, 1 / root, 0])
}

/** -3 dB at `hz`, -6 dB an octave above. */
export const fall = (hz: number, sampleRateHz: number): Biquad => bilinear(hz, sampleRateHz, [1, 0, 0], [1, 1, 0])

/** Numbers smaller than this are silence: kept on, they would end where the hardware is slow. */
const silence = 1e-25
const blockSamples = 1024

/** Filters in place, from rest. */
export function runBiquad(samples: Float64Array, { b0, b1, b2, a1, a2 }: Biquad): void {
  let first = 0
  let second = 0
  for (let start = 0; start < samples.length; start += blockSamples) {
    if (Math.abs(first) + Math.abs(second) < silence) {
      first = 0
      second = 0
    }
    const end = Math.min(samples.length, start + blockSamples)
    for (let i = start; i < end; i++) {
      const x = samples[i]
      const y = b0 * x + first
      first = b1 * x - a1 * y + second
      second = b2 * x - a2 * y
      samples[i] = y
    }
  }
}

/** Filters in place, one after the other: bit for bit what `runBiquad` makes in turn, two at a time in little more than the time of one. */
export function runBiquads(samples: Float64Array, filters: readonly Biquad[]): void {
  for (let i = 0; i + 1 < filters.length; i += 2) runTwo(samples, filters[i], filters[i + 1])
  if (filters.length % 2 === 1) runBiquad(samples, filters[filters.length - 1])
}

/** The second filter works on a sample while the first one has the next: neither waits for the other. */
function runTwo(samples: Float64Array, one: Biquad, other: Biquad): void {
  const { b0, b1, b2, a1, a2 } = one
  const { b0: d0, b1: d1, b2: d2, a1: c1, a2: c2 } = other
  let [first, second, third, fourth] = [0, 0, 0, 0]
  for (let start = 0; start < samples.length; start += blockSamples) {
    if (Math.abs(first) + Math.abs(second) < silence) {
      first = 0
      second = 0
    }
    if (Math.abs(third) + Math.abs(fourth) < silence) {
      third = 0
      fourth = 0
    }
    const end = Math.min(samples.length, start + blockSamples)
    for (let i = start; i < end; i++) {
      const x = samples[i]
      const y = b0 * x + first
      first = b1 * x - a1 * y + second
      second = b2 * x - a2 * y
      const z = d0 * y + third
      third = d1 * y - c1 * z + fourth
      fourth = d2 * y - c2 * z
      samples[i] = z
    }
  }
}

export function scale(samples: Float64Array, gain: number): void {
  for (let i = 0; i < samples.length; i++) samples[i] *= gain
}
