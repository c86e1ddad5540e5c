import { describe, expect, it } from 'vitest'
import { randomStream } from '../../src/core/maths/random.ts'
import { alikeOf, lostOf, placesOf } from '../../src/core/plan/alike.ts'
import { Draws } from '../../src/core/plan/draws.ts'
import { RecordedPlucks } from '../../src/core/plan/plucks.ts'
import type { PlanCell, PlanRecords } from '../../src/core/plan/records.ts'
import { madeRecords } from './planparts.ts'

const cellsOf = (n: number, ratios: number, isLost: (trial: number, ratio: number) => boolean): PlanCell[] =>
  Array.from({ length: ratios }, (_, ratio) => ({
    ...{ snrDb: 5 * ratio, n, detuneCents: new Float64Array(n) },
    ...{ errorCents: new Float64Array(n), noiseCents: new Float64Array(n) },
    lockS: Float64Array.from({ length: n }, (_, trial) => (isLost(trial, ratio) ? Number.NaN : 0.3)),
  }))

function recordsOf(
  n: number,
  snrsDb: readonly number[],
  isLost: (trial: number, ratio: number) => boolean,
): PlanRecords {
  const made = madeRecords([{ lockS: 0.3 }], { n, snrsDb: [...snrsDb] })
  return { ...made, cells: made.strings.map(() => cellsOf(n, snrsDb.length, isLost)) }
}

/** Of each evening's string 1: how many of its plucks at 5 dB never settled. */
function lostPerEvening(records: PlanRecords, evenings: number, plucksEach: number): number[] {
  const plucks = new RecordedPlucks(records)
  const draws = new Draws(5, evenings, records.strings.length)
  return Array.from({ length: evenings }, (_, evening) => {
    let lost = 0
    for (let pluck = 0; pluck < plucksEach; pluck++) {
      draws.at(evening, 1, pluck)
      plucks.draw(evening, 1, 0, 5, 0, draws)
      if (Number.isNaN(plucks.lockS)) lost++
    }
    return lost
  })
}

describe('plucks that may stand for those of one string', () => {
  it('are of strings that cost as many claims at the other ratios', () => {
    // Of 30 trials a third each never lost, lost at the first ratio, lost at all three.
    const cells = cellsOf(30, 3, (trial, ratio) => ratio < ([0, 1, 3][trial % 3] ?? 0))
    const lost = lostOf(cells, 0)
    expect([...lost.slice(0, 6)]).toEqual([0, 1, 3, 0, 1, 3])
    const { trials, from, to } = alikeOf(
      cells[1].lockS,
      lost,
      Uint32Array.from({ length: 30 }, (_, trial) => trial),
    )
    expect([...trials].map((trial) => trial % 3)).toEqual([
      ...Array(10).fill(0),
      ...Array(10).fill(1),
      ...Array(10).fill(2),
    ])
    expect([from[0], to[0], from[9], to[9]]).toEqual([0, 10, 0, 10])
    expect([from[10], to[10], from[29], to[29]]).toEqual([10, 20, 20, 30])
    const places = placesOf(lost)
    expect([...places].map((place) => Math.floor(3 * place)).slice(0, 6)).toEqual([0, 1, 2, 0, 1, 2])
  })

  it('are all of a cell where too few are alike, and where nothing tells them apart', () => {
    const all = Uint32Array.from({ length: 12 }, (_, trial) => trial)
    const few = cellsOf(12, 2, (trial, ratio) => ratio === 0 && trial % 2 === 1)
    const odd = alikeOf(few[1].lockS, lostOf(few, 0), all)
    expect([...odd.to]).toEqual(Array(12).fill(12))
    const same = cellsOf(12, 2, () => false)
    expect([...alikeOf(same[1].lockS, lostOf(same, 0), all).from]).toEqual(Array(12).fill(0))
  })

  it('let losses heap up on some strings for an evening, as many in all as were recorded', () => {
    const records = recordsOf(60, [0, 5, 10], (trial, ratio) => ratio < ([0, 1, 3][trial % 3] ?? 0))
    const lost = lostPerEvening(records, 300, 8)
    expect(lost.every((count) => count === 0 || count === 8)).toBe(true)
    // A third of the strings; four standard deviations of a share of 300.
    const share = lost.filter((count) => count > 0).length / 300
    expect(Math.abs(share - 1 / 3)).toBeLessThan(4 * Math.sqrt(((1 / 3) * (2 / 3)) / 300))
  })

  it('do not make chance a string’s own: losses that know nothing of the string stay spread as coins are', () => {
    const chance = Array.from({ length: 5 }, (_, ratio) => randomStream(11, 'coins', ratio))
    const coins = chance.map((stream) => Array.from({ length: 400 }, () => stream.uniform() < 0.3))
    const records = recordsOf(400, [-5, 0, 5, 10, 15], (trial, ratio) => coins[ratio]?.[trial] ?? false)
    const [evenings, plucksEach] = [600, 8]
    const lost = lostPerEvening(records, evenings, plucksEach)
    const mean = lost.reduce((sum, count) => sum + count, 0) / evenings
    const variance = lost.reduce((sum, count) => sum + (count - mean) ** 2, 0) / (evenings - 1)
    const share = mean / plucksEach
    const coin = plucksEach * share * (1 - share)
    // Kinds of some 130 recorded plucks differ in their share by a deviation of 0.04 by chance: 64 * 0.0016 more. A variance of 600
    // is known to 5.8 %: four of those. With the cell's own loss counted in, it would be more than twice as much.
    expect(variance / coin).toBeLessThan(1 + (64 * 0.0016) / coin + 4 * 0.058)
  })
})
