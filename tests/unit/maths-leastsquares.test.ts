import { describe, expect, it } from 'vitest'
import { choleskySolve, invertSymmetric, solveLeastSquares } from '../../src/core/maths/leastsquares.ts'

const close = (found: Float64Array | null, expected: readonly number[], tolerance: number): void => {
  expect(found?.length).toBe(expected.length)
  found?.forEach((value, i) => {
    expect(Math.abs(value - expected[i])).toBeLessThan(tolerance)
  })
}

describe('least squares', () => {
  it('a line through three points', () => {
    // y = 0, 0, 3 at x = 0, 1, 2: by hand, slope 3/2, intercept -1/2.
    const a = Float64Array.of(1, 0, 1, 1, 1, 2)
    close(solveLeastSquares(a, Float64Array.of(0, 0, 3), 3, 2), [-0.5, 1.5], 4e-15)
  })

  it('a weight of 2 is the row twice, a weight of 0 is no row', () => {
    const once = solveLeastSquares(
      Float64Array.of(1, 0, 1, 1, 1, 2, 1, 5),
      Float64Array.of(0, 1, 3, 70),
      4,
      2,
      Float64Array.of(1, 2, 1, 0),
    )
    const twice = solveLeastSquares(Float64Array.of(1, 0, 1, 1, 1, 1, 1, 2), Float64Array.of(0, 1, 1, 3), 4, 2)
    close(once, [...(twice ?? [])], 1e-14)
  })

  it('does not change what it is given', () => {
    const a = Float64Array.of(1, 0, 1, 1, 1, 2)
    const b = Float64Array.of(0, 0, 3)
    solveLeastSquares(a, b, 3, 2)
    expect(a).toEqual(Float64Array.of(1, 0, 1, 1, 1, 2))
    expect(b).toEqual(Float64Array.of(0, 0, 3))
  })

  it('knows dependent columns, and no values', () => {
    expect(solveLeastSquares(Float64Array.of(1, 2, 2, 4, 3, 6), Float64Array.of(1, 2, 3), 3, 2)).toBeNull()
    expect(solveLeastSquares(Float64Array.of(1, 0, 2, 0), Float64Array.of(1, 2), 2, 2)).toBeNull()
    expect(solveLeastSquares(Float64Array.of(1, Number.NaN, 2, 0), Float64Array.of(1, 2), 2, 2)).toBeNull()
  })
})

describe('symmetric systems', () => {
  const matrix = Float64Array.of(4, 2, 1, 2, 5, 3, 1, 3, 6)

  it('inverse by cofactors', () => {
    // Determinant 67; cofactors 21, -9, 1; 23, -10; 16.
    close(
      invertSymmetric(matrix, 3),
      [21, -9, 1, -9, 23, -10, 1, -10, 16].map((c) => c / 67),
      1e-16 * 8,
    )
  })

  it('solution is inverse times right side', () => {
    // (21 - 18 + 3, -9 + 46 - 30, 1 - 20 + 48) / 67.
    close(choleskySolve(matrix, Float64Array.of(1, 2, 3), 3), [6 / 67, 7 / 67, 29 / 67], 1e-16 * 8)
  })

  it('units twenty decades apart do not matter', () => {
    const scale = [1e-10, 1, 1e10]
    const mixed = matrix.map((value, at) => value * scale[Math.floor(at / 3)] * scale[at % 3])
    const inverse = invertSymmetric(mixed, 3)
    const expected = [21, -9, 1, -9, 23, -10, 1, -10, 16]
    inverse?.forEach((value, at) => {
      expect(Math.abs((value * scale[Math.floor(at / 3)] * scale[at % 3]) / (expected[at] / 67) - 1)).toBeLessThan(
        1e-14,
      )
    })
    expect(inverse).not.toBeNull()
  })

  it('knows what cannot be inverted', () => {
    expect(invertSymmetric(Float64Array.of(1, 2, 2, 4), 2)).toBeNull()
    expect(invertSymmetric(Float64Array.of(1, 3, 3, 1), 2)).toBeNull()
    expect(invertSymmetric(Float64Array.of(0, 0, 0, 1), 2)).toBeNull()
    expect(invertSymmetric(Float64Array.of(1, Number.NaN, Number.NaN, 1), 2)).toBeNull()
    expect(choleskySolve(Float64Array.of(1, 1, 1, 1), Float64Array.of(1, 1), 2)).toBeNull()
  })
})
