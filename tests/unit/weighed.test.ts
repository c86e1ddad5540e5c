/** Which reading is looked into first, and what a candidate is called. */
import { describe, expect, it } from 'vitest'
import { partWords, shownFirst } from '../../src/app/trial/weighed.ts'
import type { Reading } from '../../src/core/methods/method.ts'

const reading = (toSample: number, f0Hz: number): Reading => ({
  ...{ fromSample: toSample - 100, toSample, atSample: toSample - 50, f0Hz, confidence: 1, spreadCents: Number.NaN },
})
// A rate of 1000 Hz, the pluck at 0.2 s: 300 is the first heard wholly after it.
const readings = [reading(250, 500), reading(300, 101), reading(400, 150), reading(500, Number.NaN), reading(1400, 400)]
const first = (score: { claim: 'none' | 'true'; lockS: number }, list = readings): number =>
  shownFirst(list, score, 1000, 0.2, 100)

describe('the reading looked into first', () => {
  it('is the one that completed the claim', () => {
    expect(first({ claim: 'true', lockS: 0.3 })).toBe(3)
  })

  it('is the furthest off in the first second without a claim', () => {
    expect(first({ claim: 'none', lockS: Number.NaN })).toBe(2)
  })

  it('is the first after the pluck when all were declined, and exists where nothing was heard', () => {
    expect(
      first(
        { claim: 'none', lockS: Number.NaN },
        readings.map((one) => ({ ...one, f0Hz: Number.NaN })),
      ),
    ).toBe(1)
    expect(first({ claim: 'none', lockS: Number.NaN }, [])).toBe(0)
  })
})

describe('a candidate of the string', () => {
  it('is the string, a partial, a part of it, or so far away', () => {
    // 1200 log2 1.01 = 17.2; 1200 log2 2.5 = 1586.3.
    expect(partWords(101, 100)).toBe('the string, +17.2 c')
    expect(partWords(200, 100)).toBe('partial 2, 0.00 c')
    expect(partWords(50, 100)).toBe('1/2 of it, 0.00 c')
    expect(partWords(250, 100)).toBe('+1586 c from it')
  })
})
