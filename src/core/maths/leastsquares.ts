/**
 * Small dense linear algebra: least squares by Householder reflections, symmetric systems by Cholesky.
 *
 * Golub & Van Loan, Matrix Computations, 4th ed., algorithms 5.2.1 and 4.2.1. Matrices are row-major. Symmetric matrices are
 * scaled to a unit diagonal first, so that mixed units (Hz beside amplitudes) do not look singular.
 */

/** A pivot this much smaller than its column was: nothing but rounding is left of it. */
const smallestPivot = 64 * Number.EPSILON

/**
 * x that makes the sum over rows of weight * (a x - b)^2 least. `a` is m x n with m >= n, `weights` are >= 0, one a row.
 * null: the columns are not independent. Allocates; leaves its arguments alone.
 */
export function solveLeastSquares(
  a: Float64Array,
  b: Float64Array,
  m: number,
  n: number,
  weights?: Float64Array,
): Float64Array | null {
  const r = a.slice()
  const y = b.slice()
  if (weights !== undefined) {
    for (let row = 0; row < m; row++) {
      const root = Math.sqrt(weights[row])
      y[row] *= root
      for (let column = 0; column < n; column++) r[row * n + column] *= root
    }
  }
  for (let k = 0; k < n; k++) {
    const whole = columnNorm(r, 0, m, n, k)
    const norm = columnNorm(r, k, m, n, k)
    if (!(norm > smallestPivot * whole)) return null
    // The sign that adds, so that nothing cancels.
    const head = r[k * n + k]
    const diagonal = head > 0 ? -norm : norm
    const v0 = head - diagonal
    r[k * n + k] = v0
    const factor = -1 / (diagonal * v0)
    for (let column = k + 1; column <= n; column++) {
      const isRight = column === n
      let dot = 0
      for (let row = k; row < m; row++) dot += r[row * n + k] * (isRight ? y[row] : r[row * n + column])
      dot *= factor
      for (let row = k; row < m; row++) {
        if (isRight) y[row] -= dot * r[row * n + k]
        else r[row * n + column] -= dot * r[row * n + k]
      }
    }
    r[k * n + k] = diagonal
  }
  const x = new Float64Array(n)
  for (let k = n - 1; k >= 0; k--) {
    let sum = y[k]
    for (let column = k + 1; column < n; column++) sum -= r[k * n + column] * x[column]
    x[k] = sum / r[k * n + k]
  }
  return x
}

/** x with matrix x = b for a symmetric positive definite n x n matrix. null: singular or not positive definite. */
export function choleskySolve(matrix: Float64Array, b: Float64Array, n: number): Float64Array | null {
  const scale = unitDiagonalScale(matrix, n)
  const factor = scale === null ? null : choleskyFactor(matrix, scale, n)
  if (scale === null || factor === null) return null
  const x = b.map((value, i) => value * scale[i])
  substitute(factor, x, n)
  return x.map((value, i) => value * scale[i])
}

/** Inverse of a symmetric positive definite n x n matrix, itself symmetric. null: singular or not positive definite. */
export function invertSymmetric(matrix: Float64Array, n: number): Float64Array | null {
  const scale = unitDiagonalScale(matrix, n)
  const factor = scale === null ? null : choleskyFactor(matrix, scale, n)
  if (scale === null || factor === null) return null
  const inverse = new Float64Array(n * n)
  const column = new Float64Array(n)
  for (let j = 0; j < n; j++) {
    column.fill(0)
    column[j] = 1
    substitute(factor, column, n)
    for (let i = 0; i <= j; i++) {
      inverse[i * n + j] = column[i] * scale[i] * scale[j]
      inverse[j * n + i] = inverse[i * n + j]
    }
  }
  return inverse
}

function columnNorm(r: Float64Array, from: number, m: number, n: number, column: number): number {
  let sum = 0
  for (let row = from; row < m; row++) sum += r[row * n + column] ** 2
  return Math.sqrt(sum)
}

/** 1 / sqrt of the diagonal; null when an entry is not positive. */
function unitDiagonalScale(matrix: Float64Array, n: number): Float64Array | null {
  const scale = new Float64Array(n)
  for (let i = 0; i < n; i++) {
    const entry = matrix[i * n + i]
    if (!(entry > 0)) return null
    scale[i] = 1 / Math.sqrt(entry)
  }
  return scale
}

/** Lower triangle L with L L' = the scaled matrix; null when a pivot is lost. */
function choleskyFactor(matrix: Float64Array, scale: Float64Array, n: number): Float64Array | null {
  const lower = new Float64Array(n * n)
  for (let i = 0; i < n; i++) {
    for (let j = 0; j <= i; j++) {
      let sum = matrix[i * n + j] * scale[i] * scale[j]
      for (let k = 0; k < j; k++) sum -= lower[i * n + k] * lower[j * n + k]
      if (i !== j) lower[i * n + j] = sum / lower[j * n + j]
      else if (sum > smallestPivot) lower[i * n + i] = Math.sqrt(sum)
      else return null
    }
  }
  return lower
}

/** Solves L L' x = x in place. */
function substitute(lower: Float64Array, x: Float64Array, n: number): void {
  for (let i = 0; i < n; i++) {
    for (let k = 0; k < i; k++) x[i] -= lower[i * n + k] * x[k]
    x[i] /= lower[i * n + i]
  }
  for (let i = n - 1; i >= 0; i--) {
    for (let k = i + 1; k < n; k++) x[i] -= lower[k * n + i] * x[k]
    x[i] /= lower[i * n + i]
  }
}
