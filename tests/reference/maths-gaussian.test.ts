import { expect, it } from 'vitest'
import { randomStream } from '../../src/core/maths/random.ts'
import { tailStart } from '../../src/core/maths/ziggurat.ts'

// Two-sided tail mass of the normal distribution, 2 (1 - P(x)): Abramowitz & Stegun, table 26.1 (x = 1, 2, 3, 4); beyond the
// last edge of the ziggurat, where another algorithm takes over, 2 * scipy.stats.norm.sf(3.6541528853610088).
const tails: readonly (readonly [number, number])[] = [
  [1, 0.317310508],
  [2, 0.045500264],
  [3, 0.002699796],
  [tailStart, 0.000258034],
  [4, 0.000063342],
]

it('has the tails of the table', () => {
  const n = 8_000_000
  const values = new Float64Array(n)
  randomStream(1, 'tails').fillGaussian(values)
  for (const [limit, mass] of tails) {
    let beyond = 0
    let above = 0
    for (const x of values) {
      if (Math.abs(x) > limit) beyond++
      if (x > limit) above++
    }
    // Four standard errors of a binomial count; each side by itself as well.
    expect(Math.abs(beyond - n * mass)).toBeLessThan(4 * Math.sqrt(n * mass))
    expect(Math.abs(above - (n * mass) / 2)).toBeLessThan(4 * Math.sqrt((n * mass) / 2))
  }
})
