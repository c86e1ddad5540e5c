import { describe, expect, it } from 'vitest'
import { randomStream } from '../../src/core/maths/random.ts'
import { kindsOf, ofKindShare, placesOf } from '../../src/core/plan/alike.ts'
import { Draws } from '../../src/core/plan/draws.ts'
import { RecordedPlucks } from '../../src/core/plan/plucks.ts'
import type { PlanCell, PlanRecords } from '../../src/core/plan/records.ts'
import { madeRecords } from './planparts.ts'

/** `plucks` a string and ratio, strings by turns. */
const cellsOf = (
  strings: number,
  plucks: number,
  ratios: number,
  isLost: (string: number, trial: number, ratio: number) => boolean,
): PlanCell[] =>
  Array.from({ length: ratios }, (_, ratio) => {
    const n = strings * plucks
    return {
      ...{ snrDb: 5 * ratio, n, detuneCents: new Float64Array(n), harderDb: new Float64Array(n) },
      ...{ errorCents: new Float64Array(n), usualCents: new Float64Array(n), spreadCents: new Float64Array(n) },
      ...{ noise: new Float64Array(n), own: new Float64Array(strings), wide: new Float64Array(strings).fill(1) },
      ofString: Uint32Array.from({ length: n }, (_, trial) => trial % strings),
      lockS: Float64Array.from({ length: n }, (_, trial) => (isLost(trial % strings, trial, ratio) ? Number.NaN : 0.3)),
    }
  })

function recordsOf(
  strings: number,
  ...wanted: [plucks: number, ratios: number, isLost: Parameters<typeof cellsOf>[3]]
): PlanRecords {
  const cells = cellsOf(strings, ...wanted)
  const made = madeRecords([{ lockS: 0.3 }], { snrsDb: cells.map(({ snrDb }) => snrDb) })
  return {
    ...made,
    cells: made.strings.map(() => cells),
    offsetsCents: made.strings.map(() => new Float64Array(strings)),
  }
}

/** Of each evening's string 1: how many of its plucks at 5 dB never settled. */
function lostPerEvening(records: PlanRecords, evenings: number, plucksEach: number): number[] {
  const plucks = new RecordedPlucks(records)
  const draws = new Draws(5, evenings, records.strings.length)
  return Array.from({ length: evenings }, (_, evening) => {
    let lost = 0
    for (let pluck = 0; pluck < plucksEach; pluck++) {
      draws.at(evening, 1, pluck)
      plucks.draw(evening, 1, 0, { snrDb: 5, harderDb: 0, residualCents: 0, last: plucks.taken }, draws)
      if (Number.isNaN(plucks.lockS)) lost++
    }
    return lost
  })
}

function spreadOf(counts: readonly number[]): { readonly mean: number; readonly variance: number } {
  const mean = counts.reduce((sum, count) => sum + count, 0) / counts.length
  return { mean, variance: counts.reduce((sum, count) => sum + (count - mean) ** 2, 0) / (counts.length - 1) }
}

describe('plucks that may stand for those of one string', () => {
  it('are of strings that lost as much: strings stand in a row by that', () => {
    const cells = cellsOf(6, 4, 3, (string, _, ratio) => ratio < ([0, 1, 3][string % 3] ?? 0))
    expect([...placesOf(cells, 6)].map((place) => Math.floor(3 * place))).toEqual([0, 1, 2, 0, 1, 2])
  })

  it('are of strings that lost as much as plucks as hard: who was plucked softly is not blamed', () => {
    // Whatever the string, all soft plucks are lost; string 1 had twice as many and lost most. Only string 2 lost hard ones.
    const [cell] = cellsOf(3, 40, 1, (string, trial) => (string === 2 && trial > 110) || trial < 30 + 30 * (string % 2))
    const soft = cell.lockS.map((_, trial) => (trial < 30 + 30 * ((trial % 3) % 2) ? -8 : 8))
    const places = placesOf([{ ...cell, harderDb: soft }], 3)
    const lost = [0, 1, 2].map((string) =>
      cell.lockS.reduce((sum, s, trial) => sum + (trial % 3 === string && Number.isNaN(s) ? 1 : 0), 0),
    )
    expect(lost.indexOf(Math.max(...lost))).toBe(1)
    expect(places.indexOf(Math.max(...places))).toBe(2)
  })

  it('are cut into kinds of some fifty', () => {
    expect([0, 49, 99, 100, 200].map(kindsOf)).toEqual([1, 1, 1, 2, 4])
  })

  it('are always of the kind where strings lose all or nothing, and never where losses know nothing of the string', () => {
    const [all] = cellsOf(40, 4, 1, (string) => string >= 30)
    const places = placesOf([all], 40)
    expect(ofKindShare(all, places, 4)).toBeCloseTo(1, 9)
    const [none] = cellsOf(40, 4, 1, () => false)
    expect(ofKindShare(none, placesOf([none], 40), 4)).toBe(0)
    // Each string loses one of four: less than chance would have in common.
    const [even] = cellsOf(40, 4, 1, (string, trial) => Math.floor(trial / 40) === string % 4)
    expect(ofKindShare(even, placesOf([even], 40), 4)).toBe(0)
  })

  it('let losses heap up on some strings for an evening, as many in all as were recorded', () => {
    const records = recordsOf(60, 4, 3, (string) => string % 2 === 1)
    const lost = lostPerEvening(records, 300, 8)
    // Of 240 plucks, one in 241 is the unseen one.
    const clear = lost.filter((count) => count <= 1 || count >= 7)
    expect(clear).toHaveLength(300)
    // Half of the strings; four standard deviations of a share of 300.
    const share = lost.filter((count) => count >= 7).length / 300
    expect(Math.abs(share - 1 / 2)).toBeLessThan(4 * Math.sqrt(1 / 4 / 300))
  })

  it('heap up as far as strings differ, not as far as chance makes them seem to', () => {
    // Strings lose each pluck with a chance of 0.1 or 0.5, told apart by four plucks at each of three ratios.
    const random = randomStream(11, 'coins')
    const chances = Array.from({ length: 400 }, (_, string) => (string % 2 === 0 ? 0.1 : 0.5))
    const coins = Array.from({ length: 3 }, () => Float64Array.from({ length: 1600 }, () => random.uniform()))
    const records = recordsOf(400, 4, 3, (string, trial, ratio) => (coins[ratio]?.[trial] ?? 1) < chances[string])
    const [evenings, plucksEach] = [1500, 10]
    const { mean, variance } = spreadOf(lostPerEvening(records, evenings, plucksEach))
    const between = 0.2 ** 2
    const wanted = plucksEach * 0.3 * 0.7 + plucksEach * (plucksEach - 1) * between
    // Pairs of 400 strings tell the variance between them to 8 %, evenings their own to 4 %: three of both together.
    expect(Math.abs(variance / wanted - 1)).toBeLessThan(3 * Math.hypot(0.08 * ((90 * between) / wanted), 0.04))
    expect(Math.abs(mean / plucksEach - 0.3)).toBeLessThan(
      (4 * Math.sqrt(wanted / evenings)) / plucksEach + 4 * Math.sqrt(0.21 / 1600),
    )
  })

  it('do not make chance a string’s own: losses that know nothing of the string stay spread as coins are', () => {
    const random = randomStream(12, 'coins')
    const coins = Array.from({ length: 3 }, () => Float64Array.from({ length: 1600 }, () => random.uniform()))
    const records = recordsOf(400, 4, 3, (_, trial, ratio) => (coins[ratio]?.[trial] ?? 1) < 0.3)
    const [evenings, plucksEach] = [600, 8]
    const { mean, variance } = spreadOf(lostPerEvening(records, evenings, plucksEach))
    const share = mean / plucksEach
    // What 2400 pairs seem to have in common by chance is known to 0.21 / sqrt(2400): up to three of those; and a variance of 600 to 5.8 %: four.
    const seeming = (plucksEach * (plucksEach - 1) * 3 * (0.21 / Math.sqrt(2400))) / (plucksEach * share * (1 - share))
    expect(variance / (plucksEach * share * (1 - share))).toBeLessThan(1 + seeming + 4 * 0.058)
  })
})
