import { describe, expect, it } from 'vitest'
import { randomStream } from '../../src/core/maths/random.ts'
import { mean, rms } from '../../src/core/maths/statistics.ts'
import { Draws } from '../../src/core/plan/draws.ts'
import { partsOfClaims } from '../../src/core/plan/ownclaims.ts'
import { RecordedPlucks } from '../../src/core/plan/plucks.ts'
import { madeRecords } from './planparts.ts'

/** [ratio], an entry a trial. */
const claimsOf = (n: number, ratios: number, claim: (trial: number, ratio: number) => number): Float64Array[] =>
  Array.from({ length: ratios }, (_, ratio) => Float64Array.from({ length: n }, (_, trial) => claim(trial, ratio)))

describe('what belongs to a string in its claims', () => {
  it('is what they have in common where noise is nothing beside it', () => {
    const owns = Float64Array.from({ length: 40 }, (_, trial) => (7 * trial) % 11)
    const parts = partsOfClaims(claimsOf(40, 5, (trial) => owns[trial]))
    expect(parts.ownCents).toEqual(owns)
    for (const noise of parts.noiseCents) expect(noise).toEqual(new Float64Array(40))
  })

  it.each([
    [1, 0.4],
    [0.5, 1],
    [1.5, 0],
  ])('and the rest come apart as they were put in: plucks %f c, strings %f c', (pluckCents, stringCents) => {
    const [n, ratios] = [400, 8]
    const random = randomStream(17, 'parts', pluckCents)
    const owns = Float64Array.from({ length: n }, () => stringCents * random.gaussian())
    const parts = partsOfClaims(claimsOf(n, ratios, (trial) => 2 + owns[trial] + pluckCents * random.gaussian()))
    const noise = parts.noiseCents.flatMap((values) => [...values])
    // Of 3200 nearly independent deviations a standard deviation is known to 1.3 %: four of those.
    expect(Math.abs(rms(noise) / pluckCents - 1)).toBeLessThan(0.05)
    const middle = mean(parts.ownCents)
    const strings = rms(parts.ownCents.map((cents) => cents - middle))
    // What is told of a string is drawn back by its own error, so it spreads by less than strings do: by sqrt(trust) (James & Stein).
    const open = (Math.PI / 2) * (pluckCents ** 2 / ratios)
    const trust = stringCents ** 2 / (stringCents ** 2 + open)
    // The spread of 400 strings, through a median, is known to 6 %, and trust rests on it: three of those, and as much where nothing is there.
    expect(Math.abs(strings - stringCents * Math.sqrt(trust))).toBeLessThan(
      0.18 * Math.hypot(stringCents, Math.sqrt(open)),
    )
    expect(Math.abs(middle - 2)).toBeLessThan((4 * Math.hypot(stringCents, Math.sqrt(open))) / Math.sqrt(n))
  })

  it('is the usual one where a string claimed too seldom to be known', () => {
    const claims = claimsOf(20, 5, (trial, ratio) => (trial !== 4 ? 3 : ratio > 1 ? Number.NaN : 50))
    const parts = partsOfClaims(claims)
    expect([...parts.ownCents]).toEqual(Array(20).fill(3))
    expect(parts.noiseCents[0]?.[4]).toBe(47)
  })

  it('is not told of single strings from two ratios: what claims differ by is the plucks’', () => {
    const parts = partsOfClaims(claimsOf(21, 2, (trial) => trial))
    expect([...parts.ownCents]).toEqual(Array(21).fill(10))
    expect([...(parts.noiseCents[1] ?? [])]).toEqual(Array.from({ length: 21 }, (_, trial) => trial - 10))
  })

  it('is nothing where nothing was claimed', () => {
    const parts = partsOfClaims(claimsOf(3, 5, () => Number.NaN))
    expect([...parts.ownCents]).toEqual([0, 0, 0])
    expect([...(parts.noiseCents[0] ?? [])].every(Number.isNaN)).toBe(true)
  })

  it('stays with a string all evening; another evening has another string', () => {
    const made = madeRecords([{ lockS: 0.3 }], { n: 30 })
    const owns = Float64Array.from({ length: 30 }, (_, trial) => trial)
    const half = new Float64Array(30).fill(0.5)
    const records = {
      ...made,
      ownCents: made.strings.map(() => owns),
      cells: made.cells.map((cells) => cells.map((cell) => ({ ...cell, noiseCents: half }))),
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
