/**
 * Windows and the two figures that say what they cost.
 *
 * Cosine-sum windows are periodic (the form that belongs to a DFT of the same length; Harris 1978, Proc. IEEE 66:51-83);
 * the Kaiser window is symmetric (Kaiser & Schafer 1980). All are built with portable functions. They are new arrays at
 * every call: make them at set-up.
 */
import { cos, sin } from './portable.ts'

export const hann = (n: number): Float64Array => cosineSum(n, [0.5, 0.5])

export const hamming = (n: number): Float64Array => cosineSum(n, [0.54, 0.46])

export const blackman = (n: number): Float64Array => cosineSum(n, [0.42, 0.5, 0.08])

/** Four terms, highest side lobe -92 dB (Harris 1978, Table I). */
export const blackmanHarris = (n: number): Float64Array => cosineSum(n, [0.35875, 0.48829, 0.14128, 0.01168])

/** Symmetric about (n - 1) / 2, 1 in the middle. */
export function kaiser(n: number, beta: number): Float64Array {
  if (n === 1) return Float64Array.of(1)
  const peak = besselI0(beta)
  return Float64Array.from({ length: n }, (_, i) => {
    const u = (2 * i) / (n - 1) - 1
    return besselI0(beta * Math.sqrt(1 - u * u)) / peak
  })
}

/** Modified Bessel function of the first kind, order 0, by its power series: full accuracy for 0 <= x <= 40 or so. */
export function besselI0(x: number): number {
  const quarter = (x * x) / 4
  let term = 1
  let sum = 1
  for (let k = 1; term > sum * 1e-17; k++) {
    term *= quarter / (k * k)
    sum += term
  }
  return sum
}

/** Width of the rectangle of the same peak gain that passes as much white noise, in bins. */
export function equivalentNoiseBandwidthBins(window: Float64Array): number {
  let sum = 0
  let squares = 0
  for (const w of window) {
    sum += w
    squares += w * w
  }
  return (window.length * squares) / (sum * sum)
}

/** How much weaker a tone half-way between two bins reads than one on a bin, dB (positive). */
export function scallopLossDb(window: Float64Array): number {
  let sum = 0
  let re = 0
  let im = 0
  for (let i = 0; i < window.length; i++) {
    const angle = (Math.PI * i) / window.length
    sum += window[i]
    re += window[i] * cos(angle)
    im += window[i] * sin(angle)
  }
  return -10 * Math.log10((re * re + im * im) / (sum * sum))
}

function cosineSum(n: number, coefficients: readonly number[]): Float64Array {
  return Float64Array.from({ length: n }, (_, i) => {
    let value = coefficients[0]
    for (let term = 1; term < coefficients.length; term++) {
      const part = coefficients[term] * cos((2 * Math.PI * term * i) / n)
      value += term % 2 === 1 ? -part : part
    }
    return value
  })
}
