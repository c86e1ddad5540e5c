import { describe, expect, it } from 'vitest'
import { randomStream } from '../../src/core/maths/random.ts'
import {
  bootstrap,
  cumulativeIncidence,
  holm,
  mad,
  mean,
  median,
  quantile,
  rms,
  signFlip,
  wilson,
} from '../../src/core/maths/statistics.ts'

const nan = Number.NaN

describe('averages', () => {
  it('leave out what has no value', () => {
    expect(mean([1, nan, 3])).toBe(2)
    expect(median([nan, 5, 1, nan, 2])).toBe(2)
    expect(rms([3, nan, -4])).toBe(Math.sqrt(12.5))
    expect(mad([1, 2, nan, 4])).toBe(1)
  })

  it('of nothing are no value', () => {
    for (const of of [mean, median, rms, mad]) {
      expect(of([])).toBeNaN()
      expect(of([nan])).toBeNaN()
    }
  })

  it('take typed arrays and leave their order alone', () => {
    const values = Float64Array.of(3, 1, 2)
    expect(median(values)).toBe(2)
    expect(values).toEqual(Float64Array.of(3, 1, 2))
  })

  it('quantiles of any order are those of the sorted values', () => {
    const random = randomStream(1, 'quantiles')
    for (let n = 1; n < 60; n++) {
      // Few different values: ties are where a selection goes wrong.
      const values = Array.from({ length: n }, () => random.whole(n % 7 === 0 ? 3 : 50))
      const sorted = values.toSorted((a, b) => a - b)
      for (const share of [0, 0.1, 0.25, 0.5, 0.9, 1]) {
        const place = share * (n - 1)
        const below = sorted[Math.floor(place)]
        expect(quantile(values, share)).toBe(below + (place % 1) * (sorted[Math.ceil(place)] - below))
      }
    }
  })

  it('quantiles reach infinity only where it is', () => {
    expect(quantile([1, 2, Number.POSITIVE_INFINITY], 0.5)).toBe(2)
    expect(median([Number.POSITIVE_INFINITY, Number.POSITIVE_INFINITY])).toBe(Number.POSITIVE_INFINITY)
    expect(quantile([1, 2], 1)).toBe(2)
    expect(quantile([7], 0.3)).toBe(7)
  })
})

describe('wilson', () => {
  it('no trials, no rate', () => {
    expect(wilson(0, 0)).toEqual({ value: nan, low: nan, high: nan, n: 0 })
  })

  it('mirrors, and touches the ends exactly', () => {
    const few = wilson(3, 20)
    const many = wilson(17, 20)
    expect(Math.abs(few.low + many.high - 1)).toBeLessThan(1e-15)
    expect(wilson(0, 20).low).toBe(0)
    expect(wilson(20, 20).high).toBe(1)
  })
})

describe('bootstrap', () => {
  it('covers the mean of normal trials about as often as it says', () => {
    let covered = 0
    const rounds = 400
    for (let study = 0; study < rounds; study++) {
      const random = randomStream(1, 'coverage', study)
      const trials = Array.from({ length: 40 }, () => random.gaussian())
      const { low, high } = bootstrap([trials], mean, study, 400)
      if (low <= 0 && high >= 0) covered++
    }
    // 95 % stated; the percentile interval of 40 trials is short by the factor sqrt(39/40) against the normal one and normal
    // against t: 93.8 % expected. Four standard errors of 400 studies are 4.8 %.
    expect(covered / rounds).toBeGreaterThan(0.938 - 0.048)
    expect(covered / rounds).toBeLessThan(0.938 + 0.048)
  })

  it('draws within strata: what differs between strings is not spread', () => {
    const low = [1, 1, 1]
    const high = [9, 9, 9]
    expect(bootstrap([low, high], mean, 1)).toEqual({ value: 5, low: 5, high: 5, n: 6 })
    const pooled = bootstrap([[...low, ...high]], mean, 1)
    expect(pooled.low).toBeLessThan(4)
    expect(pooled.high).toBeGreaterThan(6)
  })

  it('gives the same interval for the same seed', () => {
    const trials = [1, 2, 4, 8, 16]
    expect(bootstrap([trials], median, 3)).toEqual(bootstrap([trials], median, 3))
  })

  it('leaves out trials without a value', () => {
    expect(bootstrap([[1, nan, 3], [nan]], mean, 1)).toEqual(bootstrap([[1, 3]], mean, 1))
    expect(bootstrap([[1, nan, 3]], mean, 1).n).toBe(2)
  })

  it('has no interval for one trial and no value for none', () => {
    expect(bootstrap([[5]], mean, 1)).toEqual({ value: 5, low: nan, high: nan, n: 1 })
    expect(bootstrap([[nan], []], mean, 1)).toEqual({ value: nan, low: nan, high: nan, n: 0 })
  })

  it('has no interval when most rounds have no figure', () => {
    const trials = [{ hit: true }, { hit: false }, { hit: false }, { hit: false }]
    // All hit: 1 round in 256. Nothing else counts.
    const share = (drawn: readonly { hit: boolean }[]): number => (drawn.every(({ hit }) => hit) ? 1 : nan)
    expect(bootstrap([trials], share, 1)).toEqual({ value: nan, low: nan, high: nan, n: 4 })
  })
})

describe('cumulative incidence', () => {
  it('with everybody watched to the end is a plain proportion', () => {
    const times = [0.5, 1, 1, 2.5, 2.5, 2.5, 0.7, 2.5]
    const causes = ['true', 'false', 'true', null, null, null, 'true', null] as const
    const at = cumulativeIncidence(times, causes, 1)
    expect(at.get('true')).toBeCloseTo(3 / 8, 15)
    expect(at.get('false')).toBeCloseTo(1 / 8, 15)
    expect(cumulativeIncidence(times, causes, 0.6)).toEqual(new Map([['true', 1 / 8]]))
  })

  it('by hand, with one lost from sight', () => {
    // Five: event a at 1; lost at 2; b at 3 and a at 3 of three watched; one watched on.
    const found = cumulativeIncidence([1, 2, 3, 3, 9], ['a', null, 'b', 'a', null], 5)
    // S falls to 4/5 at 1; at 3 each event weighs 4/5 / 3.
    expect(found.get('a')).toBeCloseTo(1 / 5 + 4 / 15, 15)
    expect(found.get('b')).toBeCloseTo(4 / 15, 15)
  })

  it('lost at the moment of an event counts as watched; never timed as watched throughout', () => {
    expect(cumulativeIncidence([1, 1], [null, 'a'], 1).get('a')).toBe(0.5)
    expect(cumulativeIncidence([nan, 1], [null, 'a'], 1).get('a')).toBe(0.5)
  })

  it('before the first event there is none', () => {
    expect(cumulativeIncidence([1], ['a'], 0.5).size).toBe(0)
    expect(cumulativeIncidence([], [], 1).size).toBe(0)
  })
})

describe('sign flip', () => {
  it('counts every pattern when there are few', () => {
    // All of one sign: only it and its mirror are as far: 2 in 2^5.
    expect(signFlip([1, 2, 3, 4, 5], 1)).toBe(2 / 32)
    expect(signFlip([1, -1], 1)).toBe(1)
    expect(signFlip([0, 0, 0], 1)).toBe(1)
  })

  it('leaves out pairs without a value', () => {
    expect(signFlip([1, nan, 2, 3], 1)).toBe(2 / 8)
    expect(signFlip([nan], 1)).toBeNaN()
  })

  it('drawn at random comes near the count of every pattern', () => {
    const random = randomStream(1, 'pairs')
    const differences = Array.from({ length: 12 }, () => random.gaussian() + 0.5)
    const counted = signFlip(differences, 1, 4096)
    const drawn = signFlip(differences, 1, 4095)
    // Four standard errors of a share of 4095 draws.
    expect(Math.abs(drawn - counted)).toBeLessThan(4 * Math.sqrt((counted * (1 - counted)) / 4095) + 1 / 4096)
    expect(counted).toBeGreaterThan(0.01)
  })

  it('is never 0 and finds a clear difference', () => {
    expect(signFlip(new Array(60).fill(1), 1, 999)).toBe(1 / 1000)
  })
})

describe('holm', () => {
  it('by hand', () => {
    // Sorted .01 .02 .03 .04 times 4 3 2 1 is .04 .06 .06 .04; none may fall below the one before.
    const corrected = holm([0.04, 0.01, 0.03, 0.02])
    const expected = [0.06, 0.04, 0.06, 0.06]
    corrected.forEach((p, i) => {
      expect(p).toBeCloseTo(expected[i], 15)
    })
  })

  it('stops at 1 and does not count what is no p', () => {
    expect(holm([0.9, 0.8])).toEqual([1, 1])
    expect(holm([nan, 0.02, nan, 0.5])).toEqual([nan, 0.04, nan, 0.5])
    expect(holm([])).toEqual([])
  })
})
