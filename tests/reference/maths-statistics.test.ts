import { describe, expect, it } from 'vitest'
import { cumulativeIncidence, holm, mad, quantile, signFlip, wilson } from '../../src/core/maths/statistics.ts'

describe('wilson', () => {
  // 6 of 32: .08890 to .35309, worked example in a published notebook (rstudio-pubs 1367507); and
  // scipy.stats.binomtest(6, 32).proportion_ci(method='wilson'), scipy 1.17.1.
  it('6 of 32', () => {
    const { value, low, high, n } = wilson(6, 32)
    expect(value).toBe(0.1875)
    expect(n).toBe(32)
    expect(Math.abs(low - 0.0889)).toBeLessThan(5e-6)
    expect(Math.abs(high - 0.35309)).toBeLessThan(5e-6)
    // scipy takes z to full precision; ours is rounded to 1.959964, which is 8e-9 of it.
    expect(Math.abs(low - 0.08889544689565956)).toBeLessThan(1e-8)
    expect(Math.abs(high - 0.3530915520137595)).toBeLessThan(1e-8)
  })

  // Newcombe 1998, Stat. Med. 17:857-872, Table I, method 3 (from memory; the formula agrees to the digits printed).
  it.each([
    [81, 263, 0.2553, 0.3662],
    [15, 148, 0.0624, 0.1605],
    [0, 20, 0, 0.1611],
    [1, 29, 0.0061, 0.1718],
  ])('%i of %i', (hits, n, low, high) => {
    const found = wilson(hits, n)
    expect(Math.abs(found.low - low)).toBeLessThan(5e-5)
    expect(Math.abs(found.high - high)).toBeLessThan(5e-5)
  })
})

describe('quantiles', () => {
  const values = [3, 1, 4, 1, 5, 9, 2, 6]

  // numpy.quantile, numpy 2.4.6, default method "linear" (type 7 of Hyndman & Fan 1996).
  it('as numpy has them', () => {
    const expected = [1, 1, 1.75, 3.5, 6.9, 9]
    ;[0, 0.1, 0.25, 0.5, 0.9, 1].forEach((share, i) => {
      expect(quantile(values, share)).toBeCloseTo(expected[i], 14)
    })
  })

  // scipy.stats.median_abs_deviation, scipy 1.17.1.
  it('median absolute deviation', () => {
    expect(mad(values)).toBe(2)
  })
})

// Manual page of the R package HDLSSkST 2.1.0, function Holm: these seven at level 0.05 give rejections 0 0 1 0 0 0 1.
// It rejects below the level only: 0.01 is corrected by 5 to the level itself.
it('holm rejects what the example rejects', () => {
  const corrected = holm([0.5, 0.01, 0.001, 0.69, 0.02, 0.05, 0.0025])
  expect(corrected.map((p) => Number(p < 0.05))).toEqual([0, 0, 1, 0, 0, 0, 1])
  expect(corrected[1]).toBe(0.05)
})

// scipy.stats.permutation_test(permutation_type='samples', n_resamples=inf) of the mean, scipy 1.17.1.
it('sign flip over every pattern', () => {
  expect(signFlip([1.2, -0.4, 2.3, 0.9, -1.1, 1.8, 0.2], 1)).toBe(0.203125)
})

// Br. J. Cancer 2004, 91:1229-1235, Table 2: nine of 305 patients in the first 27 months, E the event, CR the competing one,
// C lost from sight. The table prints the numbers at risk and the incidence in per cent, each step rounded to 0.1 and then summed.
it('cumulative incidence of the published example', () => {
  const months = [7, 10, 14, 16, 18, 23, 24, 26, 27]
  const causes = [null, 'E', null, 'E', 'CR', 'E', null, 'CR', 'E'] as const
  const others = new Array<number>(305 - months.length).fill(99)
  const times = [...months, ...others]
  const all = [...causes, ...others.map(() => null)]
  const incidenceAt = (month: number): number => cumulativeIncidence(times, all, month).get('E') ?? 0
  const printed = [
    [10, 0.3],
    [16, 0.6],
    [23, 0.9],
    [27, 1.2],
  ]
  printed.forEach(([month, percent], step) => {
    expect(Math.abs(100 * incidenceAt(month) - percent)).toBeLessThan(0.05 * (step + 1))
  })
  // With the table's numbers at risk 304, 302, 301, 300, 298, 297 and no rounding.
  const survivalAt16 = 303 / 304
  const survivalAt23 = (survivalAt16 * 301 * 300) / (302 * 301)
  const survivalAt27 = (survivalAt23 * 299 * 297) / (300 * 298)
  const exact = 1 / 304 + survivalAt16 / 302 + survivalAt23 / 300 + survivalAt27 / 297
  expect(Math.abs(incidenceAt(27) - exact)).toBeLessThan(1e-16)
})
