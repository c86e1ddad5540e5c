/**
 * The full Fisher matrix of a sum of damped partials, for spans too short for the partials to be told apart.
 *
 * Unknown are every partial's amplitude and phase, and the frequencies through f1 (and B). Amplitude and phase of partial k
 * span {e cos, e sin} with e = exp(-a_k t), whatever their values; the frequency's derivative is t times the same pair. What
 * is left of the derivatives once all those pairs are projected out (the Schur complement of the amplitude-phase block) is a
 * quadratic form Q that depends on frequencies, decays and the length of the span only: made once a length, then weighed with
 * the amplitudes and phases at the span's start. Integrals are exact (dampedmoments.ts), no sampling.
 *
 * Noise is taken as white around each partial (density at the partial): exact for white noise; for coloured noise, good while
 * the density changes little over 1 / span. Not valid for spans of less than a period of a string with several partials: what
 * the finite number of partials still tells there is below rounding, and no information is reported.
 */
import { complexMoments } from './dampedmoments.ts'

export interface Component {
  readonly omegaPerS: number
  readonly decayPerS: number
}

export interface ShortSpan {
  /** 2n x 2n, row-major. Rows and columns 2k, 2k + 1: t e cos and t e sin of component k, all amplitudes and phases projected out. */
  readonly form: Float64Array
  readonly size: number
}

/** A column of which less than this is left, re its own square, is a mix of the ones before: it holds nothing new. */
const smallestPivot = 1e-11

export function shortSpan(components: readonly Component[], spanS: number): ShortSpan {
  const size = 2 * components.length
  const [nuisance, cross, form] = [0, 1, 2].map(() => new Float64Array(size * size)) as [
    Float64Array,
    Float64Array,
    Float64Array,
  ]
  fillProducts(components, spanS, [nuisance, cross, form])
  const scale = Float64Array.from({ length: size }, (_, i) => 1 / Math.sqrt(nuisance[i * size + i]))
  for (let row = 0; row < size; row++) {
    for (let column = 0; column < size; column++) {
      nuisance[row * size + column] *= scale[row] * scale[column]
      cross[row * size + column] *= scale[row]
    }
  }
  factorise(nuisance, size)
  // Forward substitution of all right-hand sides at once: cross becomes L^-1 cross.
  for (let row = 0; row < size; row++) {
    const pivot = nuisance[row * size + row]
    for (let before = 0; before < row; before++) {
      const factor = nuisance[row * size + before]
      if (factor === 0) continue
      for (let c = 0; c < size; c++) cross[row * size + c] -= factor * cross[before * size + c]
    }
    for (let c = 0; c < size; c++) cross[row * size + c] = pivot === 0 ? 0 : cross[row * size + c] / pivot
  }
  for (let k = 0; k < size; k++) {
    for (let row = 0; row < size; row++) {
      const factor = cross[k * size + row]
      if (factor === 0) continue
      for (let column = 0; column < size; column++) form[row * size + column] -= factor * cross[k * size + column]
    }
  }
  return { form, size }
}

/** u' Q v. */
export function weighed({ form, size }: ShortSpan, u: Float64Array, v: Float64Array): number {
  let sum = 0
  for (let row = 0; row < size; row++) {
    let product = 0
    for (let column = 0; column < size; column++) product += form[row * size + column] * v[column]
    sum += u[row] * product
  }
  return sum
}

/** Inner products of {e cos, e sin} with themselves, times t^0, t^1 and t^2. */
function fillProducts(components: readonly Component[], spanS: number, out: readonly Float64Array[]): void {
  const size = 2 * components.length
  const difference = new Float64Array(6)
  const sum = new Float64Array(6)
  components.forEach((a, i) => {
    for (let j = i; j < components.length; j++) {
      const b = components[j]
      const rate = a.decayPerS + b.decayPerS
      complexMoments(rate, a.omegaPerS - b.omegaPerS, spanS, difference)
      complexMoments(rate, a.omegaPerS + b.omegaPerS, spanS, sum)
      for (let m = 0; m < 3; m++) {
        const cosCos = (difference[m] + sum[m]) / 2
        const sinSin = (difference[m] - sum[m]) / 2
        const cosSin = (sum[m + 3] - difference[m + 3]) / 2
        const sinCos = (sum[m + 3] + difference[m + 3]) / 2
        const [row, column] = [2 * i, 2 * j]
        const target = out[m]
        target[row * size + column] = target[column * size + row] = cosCos
        target[(row + 1) * size + column + 1] = target[(column + 1) * size + row + 1] = sinSin
        target[row * size + column + 1] = target[(column + 1) * size + row] = cosSin
        target[(row + 1) * size + column] = target[column * size + row + 1] = sinCos
      }
    }
  })
}

/** Cholesky in place, lower triangle; a column that depends on the ones before becomes zero. */
function factorise(matrix: Float64Array, size: number): void {
  for (let column = 0; column < size; column++) {
    let pivot = matrix[column * size + column]
    for (let k = 0; k < column; k++) pivot -= matrix[column * size + k] ** 2
    const root = pivot > smallestPivot ? Math.sqrt(pivot) : 0
    matrix[column * size + column] = root
    for (let row = column + 1; row < size; row++) {
      if (root === 0) {
        matrix[row * size + column] = 0
        continue
      }
      let rest = matrix[row * size + column]
      for (let k = 0; k < column; k++) rest -= matrix[row * size + k] * matrix[column * size + k]
      matrix[row * size + column] = rest / root
    }
  }
}
