/** Third octaves and chi-square quantiles against published tables. */
import { describe, expect, it } from 'vitest'
import { chiSquareOverFreedom } from '../../src/core/room/chisquare.ts'
import { thirdOctaves } from '../../src/core/room/thirdoctaves.ts'

describe('third octaves', () => {
  // The open package python-acoustics, module standards.iec_61260_1_2014, NOMINAL_THIRD_OCTAVE_CENTER_FREQUENCIES.
  const nominal = [
    25, 31.5, 40, 50, 63, 80, 100, 125, 160, 200, 250, 315, 400, 500, 630, 800, 1000, 1250, 1600, 2000, 2500, 3150,
    4000, 5000, 6300, 8000, 10000, 12500, 16000, 20000,
  ]
  // The Engineering ToolBox, "Octave Band Frequencies", third octave bands: lower limit, upper limit; 3 to 4 digits printed.
  const limits: readonly (readonly [number, number, number])[] = [
    [22.4, 25, 28.2],
    [28.2, 31.5, 35.5],
    [35.5, 40, 44.7],
    [44.7, 50, 56.2],
    [56.2, 63, 70.8],
    [70.8, 80, 89.1],
    [89.1, 100, 112],
    [141, 160, 178],
    [355, 400, 447],
    [891, 1000, 1122],
    [1413, 1600, 1778],
    [2818, 3150, 3548],
    [5623, 6300, 7079],
    [14130, 16000, 17780],
    [17780, 20000, 22390],
  ]

  it('go by the nominal frequencies', () => {
    expect(thirdOctaves(24000).map(({ nominalHz }) => nominalHz)).toEqual(nominal)
  })

  it('lie at 1000 x 10^(n/10), as the standards print the exact frequencies', () => {
    // Dutch vibration guideline C, annex 2 (kennisbank.crow.nl): exact frequencies of third octaves are 1000 x 10^(n/10).
    for (const [place, { exactHz }] of thirdOctaves(24000).entries()) {
      expect(exactHz / (1000 * 10 ** ((place - 16) / 10))).toBeCloseTo(1, 12)
    }
  })

  it('end where the table says, to its digits', () => {
    const bands = new Map(thirdOctaves(24000).map((band) => [band.nominalHz, band]))
    for (const [low, name, high] of limits) {
      const band = bands.get(name)
      expect(band).toBeDefined()
      // Half a unit of the third digit; the table cuts 14 125 to 14 130 and 17 783 to 17 780.
      expect(Math.abs((band?.lowHz ?? 0) / low - 1)).toBeLessThan(0.003)
      expect(Math.abs((band?.highHz ?? 0) / high - 1)).toBeLessThan(0.003)
    }
  })

  it('meet without gaps and end under half of the rate', () => {
    const bands = thirdOctaves(4000)
    for (const [i, band] of bands.entries()) {
      if (i > 0) expect(band.lowHz / (bands[i - 1]?.highHz ?? 0)).toBeCloseTo(1, 12)
    }
    expect(bands.at(-1)?.nominalHz).toBe(3150)
  })
})

describe('chi-square quantiles', () => {
  // SciPy 1.17.1, scipy.stats.chi2.ppf(p, n) / n.
  const table: readonly (readonly [number, number, number])[] = [
    [10, 0.3246973, 2.0483177],
    [20, 0.4795389, 1.7084803],
    [50, 0.6471473, 1.4284039],
    [200, 0.81364, 1.2052895],
  ]

  it('lie within a percent of the table from 10 degrees up', () => {
    for (const [freedom, low, high] of table) {
      expect(Math.abs(chiSquareOverFreedom(-1.959964, freedom) / low - 1)).toBeLessThan(0.01)
      expect(Math.abs(chiSquareOverFreedom(1.959964, freedom) / high - 1)).toBeLessThan(0.01)
    }
  })
})
