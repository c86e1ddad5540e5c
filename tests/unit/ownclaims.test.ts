import { describe, expect, it } from 'vitest'
import { Draws } from '../../src/core/plan/draws.ts'
import { ownOfClaims } from '../../src/core/plan/ownclaims.ts'
import { RecordedPlucks } from '../../src/core/plan/plucks.ts'
import type { PlanCell } from '../../src/core/plan/records.ts'
import { madeRecords } from './planparts.ts'

const n = 61
const harderDb = Float64Array.from({ length: n }, (_, i) => (i - 30) / 5)
/** What noise did at each of five ratios: the two noisiest are far off, to one side. */
const noiseCents = [9, 4, 0.2, 0, -0.3]

function cellsOf(claim: (trial: number, ratio: number) => number): PlanCell[] {
  return noiseCents.map((_, ratio) => ({
    ...{ snrDb: 5 * ratio, n, detuneCents: new Float64Array(n), lockS: new Float64Array(n).fill(0.3) },
    errorCents: Float64Array.from({ length: n }, (_, trial) => claim(trial, ratio)),
  }))
}

describe('what belongs to a string in its claims', () => {
  it('is what they have in common over the ratios, for plucks of usual force', () => {
    // Rises with force and stays: who claims later hears less of the glide.
    const glideCents = (trial: number): number => Math.min(3, 0.8 * 10 ** (harderDb[trial] / 10))
    const owns = Float64Array.from({ length: n }, (_, trial) => [-1, 0, 1][(7 * trial) % 3] ?? 0)
    const cells = cellsOf((trial, ratio) => owns[trial] + glideCents(trial) + noiseCents[ratio])
    const own = ownOfClaims(cells, 0, harderDb) ?? new Float64Array()
    expect(own).toHaveLength(n)
    // The middle of five noises is 0.2 c; the glide is that of plucks of usual force.
    const usual = 0.2 + 0.8
    for (const [trial, cents] of own.entries()) {
      // Fifteen plucks alike in force reach 7 to both sides, at the ends 14 to one: their median's glide lies among theirs. And
      // of 15 strings by turns a third each is -1, 0 and 1: their middle is 0.
      const [from, to] = [Math.max(0, trial - 14), Math.min(n - 1, trial + 14)]
      const spread = glideCents(to) - glideCents(from) + glideCents(37) - glideCents(23)
      expect(Math.abs(cents - owns[trial] - usual)).toBeLessThanOrEqual(spread)
    }
    // The hardest plucks glided 2.2 c further than usual ones; the plucks that tell so stand to one side, and half of it is left at most.
    expect(Math.abs(own[n - 2] - own[30] - (owns[n - 2] - owns[30]))).toBeLessThan(1.1)
  })

  it('is the usual one where a string claimed too seldom to be known', () => {
    const cells = cellsOf((trial, ratio) => (trial === 4 && ratio > 1 ? Number.NaN : trial === 4 ? 50 : 3))
    expect([...(ownOfClaims(cells, 0, new Float64Array(n)) ?? [])]).toEqual(Array.from({ length: n }, () => 3))
  })

  it('is not told from two ratios, nor where nothing was claimed', () => {
    const cells = cellsOf(() => 3)
    expect(ownOfClaims(cells.slice(0, 2), 0, harderDb)).toBeNull()
    const silent = cellsOf(() => Number.NaN)
    expect(ownOfClaims(silent, 0, harderDb)).toBeNull()
  })

  it('stays with a string all evening; another evening has another string', () => {
    const made = madeRecords([{ lockS: 0.3 }], { n: 30 })
    const owns = Float64Array.from({ length: 30 }, (_, trial) => trial)
    const records = {
      ...made,
      ownCents: made.strings.map(() => owns),
      cells: made.cells.map((cells) => cells.map((cell) => ({ ...cell, errorCents: owns.map((own) => own + 0.5) }))),
    }
    const plucks = new RecordedPlucks(records)
    const evenings = 12
    const draws = new Draws(3, evenings, made.strings.length)
    const told = Array.from({ length: evenings }, (_, evening) =>
      Array.from({ length: 8 }, (_, pluck) => {
        draws.at(evening, 2, pluck)
        plucks.draw(evening, 2, 0, 10, 0, draws)
        return plucks.errorCents
      }),
    )
    for (const [evening, errors] of told.entries()) {
      const own = Math.floor(draws.stringOf(evening, 2) * 30)
      expect(errors).toEqual(Array.from({ length: 8 }, () => own + 0.5))
    }
    expect(new Set(told.map(([first]) => first)).size).toBeGreaterThan(6)
  })
})
