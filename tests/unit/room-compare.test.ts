/** Two takes side by side: differences are what was put in, and intervals hold what they promise. */
import { describe, expect, it } from 'vitest'
import { compareTakes, type JudgedTake, ratioSpreadDb } from '../../src/core/room/comparetakes.ts'
import { type NoiseFigures, noiseFigures } from '../../src/core/room/noisetake.ts'
import { stringFigures } from '../../src/core/room/stringtake.ts'
import { guitar, makeTake, roomNoise, roomStrings } from './roomtakes.ts'

const rateHz = 16_000
const strings = roomStrings(guitar)

function judged(ids: readonly string[], snrDb: number, seed: number): JudgedTake {
  const made = ids.map((string) => makeTake({ string, room: 'pink', snrDb, seed, rateHz, noiseS: 8 }))
  const noise = noiseFigures(made[0]?.noise ?? new Float32Array(), rateHz, strings)
  return {
    noise,
    strings: made.map((take, i) => {
      const [string] = roomStrings([ids[i] ?? ''])
      if (string === undefined) throw new Error('no string')
      return stringFigures(take.samples, rateHz, string, noiseFigures(take.noise, rateHz, strings))
    }),
  }
}

describe('two takes side by side', () => {
  const first = judged(['A2', 'D3'], 20, 1)
  const second = judged(['D3', 'E4'], 12, 2)

  it('finds the 8 dB that were put between two paths, for the strings that both have', () => {
    const { strings: rows } = compareTakes(first, second)
    expect(rows.map(({ string }) => string)).toEqual(['D3'])
    const ratio = rows[0]?.ratioDb
    // Each ratio within 1 dB of what was injected: the figures' own promise (room.md of tests/bench).
    expect(Math.abs((ratio?.value ?? 0) + 8)).toBeLessThan(2)
    expect(ratio?.low).toBeLessThan(ratio?.value ?? 0)
    expect((ratio?.high ?? 0) - (ratio?.value ?? 0)).toBeCloseTo((ratio?.value ?? 0) - (ratio?.low ?? 0), 9)
  })

  it('is nothing between a take and itself, and turns its sign with the order', () => {
    const same = compareTakes(first, first)
    expect(same.strings.map(({ ratioDb }) => ratioDb?.value)).toEqual([0, 0])
    expect(same.bands.every(({ levelDb }) => levelDb.value === 0 && levelDb.low < 0 && levelDb.high > 0)).toBe(true)
    const [there, back] = [compareTakes(first, second).bands, compareTakes(second, first).bands]
    for (const [i, { levelDb }] of there.entries()) {
      expect(back[i]?.levelDb.value).toBeCloseTo(-levelDb.value, 9)
      expect(back[i]?.levelDb.low).toBeCloseTo(-levelDb.high, 9)
    }
  })

  it('keeps its intervals for bands: two halves of one noise, twenty times, 5 % of them off by chance', () => {
    let [inside, all] = [0, 0]
    for (let seed = 0; seed < 20; seed++) {
      // Halves of one rendering: takes that are each set to one level would differ in every band by what that level scattered.
      const both = Float32Array.from(roomNoise('pink', 12, rateHz, 50 + seed), (value) => 0.01 * value)
      const [a, b] = [both.subarray(0, 6 * rateHz), both.subarray(6 * rateHz)].map(
        (half): JudgedTake => ({ noise: noiseFigures(half, rateHz, []), strings: [] }),
      )
      for (const { levelDb } of compareTakes(a as JudgedTake, b as JudgedTake).bands) {
        all++
        if (levelDb.low <= 0 && levelDb.high >= 0) inside++
      }
    }
    // 20 pairs of 25 bands up to 6.3 kHz: 95 % less three standard deviations of a binomial, sqrt(0.95 * 0.05 / 500) = 1 %.
    expect(all).toBe(500)
    expect(inside / all).toBeGreaterThan(0.95 - 3 * 0.01)
  })

  it('reckons the spread of a ratio as worked by hand, and none from a take that is too short', () => {
    const tenths = (seconds: readonly number[]): NoiseFigures => ({
      ...first.noise,
      tenthPowers: Float64Array.from(seconds.flatMap((power) => Array.from({ length: 10 }, () => power))),
    })
    // Powers 1, 2, 3: mean 2, variance 1, v^2 = 1/4. At 10 dB: 4.343 sqrt(1/12 + 1/400) = 1.2724; with the floor of 0.08, 1.2749.
    expect(ratioSpreadDb(10, tenths([1, 2, 3]))).toBeCloseTo(1.2749, 4)
    expect(ratioSpreadDb(10, tenths([1, 2]))).toBeNaN()
    expect(ratioSpreadDb(null, tenths([1, 2, 3]))).toBeNaN()
    // A room that never changes leaves the floor alone: no interval is nothing.
    expect(ratioSpreadDb(10, tenths([2, 2, 2]))).toBeCloseTo(0.08, 12)
  })
})
