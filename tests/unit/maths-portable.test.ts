import { expect, it } from 'vitest'
import { cos, exp, ln, pow, sin } from '../../src/core/maths/portable.ts'

/** Distance in units of the last place of the larger one. */
function ulps(a: number, b: number): number {
  const size = Math.max(Math.abs(a), Math.abs(b))
  return size === 0 ? 0 : Math.abs(a - b) / 2 ** (Math.floor(Math.log2(size)) - 52)
}

// The engine's own functions are good to 1 ulp or so, and so are these: two apart is the most both may err. pow is documented
// by its authors at 0.70 ulp, plus the engine's; near a zero of sin the argument reduction is exact in both.
it('agrees with the engine to the last two places', () => {
  for (let i = 1; i < 4000; i++) {
    const x = i * 0.737
    expect(ulps(sin(x), Math.sin(x))).toBeLessThanOrEqual(2)
    expect(ulps(cos(x), Math.cos(x))).toBeLessThanOrEqual(2)
    expect(ulps(exp(-x / 100), Math.exp(-x / 100))).toBeLessThanOrEqual(2)
    expect(ulps(ln(x), Math.log(x))).toBeLessThanOrEqual(2)
    expect(ulps(pow(2, x / 1200), 2 ** (x / 1200))).toBeLessThanOrEqual(2)
  }
})

it('has the corners right', () => {
  expect(sin(0)).toBe(0)
  expect(cos(0)).toBe(1)
  expect(exp(0)).toBe(1)
  expect(exp(Number.NEGATIVE_INFINITY)).toBe(0)
  expect(ln(1)).toBe(0)
  expect(ln(0)).toBe(Number.NEGATIVE_INFINITY)
  expect(pow(10, 2)).toBe(100)
  expect(sin(Number.NaN)).toBeNaN()
})
