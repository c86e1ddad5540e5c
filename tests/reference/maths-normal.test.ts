import { describe, expect, it } from 'vitest'
import { normalDeviate } from '../../src/core/maths/normal.ts'

describe('the normal deviate', () => {
  // Abramowitz & Stegun 1964, table 26.5 (values from memory): x for the upper tail Q.
  it.each([
    [0.5, 0],
    [0.25, 0.67449],
    [0.1, 1.28155],
    [0.05, 1.64485],
    [0.025, 1.95996],
    [0.01, 2.32635],
    [0.005, 2.57583],
    [0.001, 3.09023],
    [0.0001, 3.71902],
  ])('of the upper tail %f is %f, to the 4.5e-4 that 26.2.23 promises', (tail, deviate) => {
    expect(Math.abs(normalDeviate(1 - tail) - deviate)).toBeLessThan(4.5e-4 + 5e-6)
    expect(Math.abs(normalDeviate(tail) + deviate)).toBeLessThan(4.5e-4 + 5e-6)
  })

  it('is finite at both ends', () => {
    expect(normalDeviate(0)).toBeLessThan(-6)
    expect(normalDeviate(1)).toBe(-normalDeviate(0))
  })
})
