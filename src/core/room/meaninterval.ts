/**
 * The mean of a few values that scatter by themselves, with Student's 95 % interval (Student 1908, Biometrika 6:1-25). The
 * quantile is the expansion about the normal one in powers of one over the degrees of freedom (Abramowitz & Stegun 1964,
 * 26.7.5): within 1 % of the tables from 3 degrees of freedom up.
 */
import { mean } from '../maths/statistics.ts'

const z = 1.959964

/** Two-sided 95 %; from 3 degrees of freedom up. */
export const studentQuantile = (freedom: number): number =>
  z +
  (z ** 3 + z) / (4 * freedom) +
  (5 * z ** 5 + 16 * z ** 3 + 3 * z) / (96 * freedom ** 2) +
  (3 * z ** 7 + 19 * z ** 5 + 17 * z ** 3 - 15 * z) / (384 * freedom ** 3)

/** NaN for fewer than two values. */
export function standardError(values: readonly number[]): number {
  const middle = mean(values)
  const squares = values.reduce((sum, value) => sum + (value - middle) ** 2, 0)
  return Math.sqrt(squares / ((values.length - 1) * values.length))
}
