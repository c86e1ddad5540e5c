/**
 * How far a measured power may be from its mean: chi-square quantiles by the cube-root law (Wilson & Hilferty 1931, PNAS
 * 17:684-688), good to 1 % from 10 degrees of freedom up, to 20 % of the lower quantile at 3.
 */

/** Of a chi-square variable over its degrees of freedom: the value that a standard normal deviate `z` stands for. */
export function chiSquareOverFreedom(z: number, freedom: number): number {
  const part = 2 / (9 * freedom)
  return Math.max(0, 1 - part + z * Math.sqrt(part)) ** 3
}

/** Two-sided 95 % of a normal deviate. */
const z95 = 1.959964

/** The 95 % interval of a true power whose estimate, of `freedom` degrees, is 1. */
export function powerInterval(freedom: number): { readonly low: number; readonly high: number } {
  return { low: 1 / chiSquareOverFreedom(z95, freedom), high: 1 / chiSquareOverFreedom(-z95, freedom) }
}
