/** Cells of hand-made outcomes. */
import { describe, expect, it } from 'vitest'
import { wilson } from '../../src/core/maths/statistics.ts'
import type { Score } from '../../src/core/score/score.ts'
import { figuresOf, summarise } from '../../src/core/score/summary.ts'
import type { Levels } from '../../src/core/study/levels.ts'
import type { Outcome } from '../../src/core/study/study.ts'

const header = { seed: 7 }
const plainScore: Score = {
  readings: 50,
  missing: 0,
  gross: 0,
  octave: 0,
  offsetCents: 1,
  medianCents: 1.5,
  medianAbsCents: 1.5,
  noiseErrorCents: 0.5,
  noiseRmsCents: 2,
  boundRmsCents: 1,
  boundLockS: 0.02,
  within5S: 0.1,
  within1S: Number.NaN,
  firstSteadyS: 0.1,
  lockS: 0.35,
  claim: 'true',
  claimCents: 1,
}
const none: Partial<Score> = { claim: 'none', lockS: Number.NaN, firstSteadyS: Number.NaN, claimCents: Number.NaN }

function scored(
  index: number,
  score: Partial<Score> = {},
  cell: { string?: string; method?: string; levels?: Levels } = {},
): Outcome {
  return {
    state: 'scored',
    trial: { index, string: cell.string ?? 'E2', room: 'white', snrDb: 10, repeat: index },
    method: { id: cell.method ?? 'yin', values: {} },
    score: { ...plainScore, ...score },
    levels: cell.levels ?? null,
  }
}
const cellOf = (scores: readonly Partial<Score>[]) =>
  summarise(
    header,
    scores.map((score, i) => scored(i, score)),
  ).cells[0] as NonNullable<ReturnType<typeof summarise>['cells'][number]>

describe('cells', () => {
  it('stand in the order in which the run speaks of them', () => {
    const outcomes = [
      scored(0, {}, { string: 'E4', method: 'mpm' }),
      scored(0, {}, { string: 'E4' }),
      scored(1, {}, { string: 'E4', method: 'mpm' }),
      scored(2, {}, { string: 'E2', method: 'mpm' }),
    ]
    const { cells } = summarise(header, outcomes)
    expect(cells.map((cell) => [cell.string, cell.method, cell.n])).toEqual([
      ['E4', 'mpm', 2],
      ['E4', 'yin', 1],
      ['E2', 'mpm', 1],
    ])
  })

  it('name the settings only when the same method was run with several', () => {
    const twice = [512, 2048].map((hop): Outcome => ({ ...scored(0), method: { id: 'yin', values: { hop } } }))
    expect(summarise(header, twice).cells.map((cell) => cell.method)).toEqual(['yin hop=512', 'yin hop=2048'])
    expect(summarise(header, twice.slice(0, 1)).cells[0]?.method).toBe('yin')
  })

  it('count failed trials apart', () => {
    const failed: Outcome = { ...scored(1), state: 'failed', problem: { what: 'no', where: '' } } as never
    expect(summarise(header, [scored(0), failed]).cells[0]).toMatchObject({
      n: 1,
      failed: 1,
      trueRate: { value: 1, n: 1 },
    })
    const lost = summarise(header, [failed]).cells[0]
    expect(lost).toMatchObject({ n: 0, failed: 1, lockS: null, trueRate: null, missing: null, medianAbsCents: null })
    expect(lost?.boundLockS).toBeNull()
  })

  it('do not depend on what else stands in the run', () => {
    const own = [0.1, 0.7, 0.3, 0.9].map((medianAbsCents, i) => scored(i, { medianAbsCents }))
    const others = [0, 1, 2].map((i) => scored(i, {}, { method: 'mpm' }))
    expect(summarise(header, [...others, ...own]).cells[1]).toEqual(summarise(header, own).cells[0])
  })
})

describe('rates', () => {
  it('part true, room-caused with premature, structural and no lock', () => {
    const cell = cellOf([{}, {}, { claim: 'room' }, { claim: 'premature', lockS: -0.1 }, { claim: 'structural' }, none])
    expect(cell.trueRate).toEqual(wilson(2, 6))
    expect(cell.falseRoomRate).toEqual(wilson(2, 6))
    expect(cell.falseStructuralRate).toEqual(wilson(1, 6))
    expect(cell.noLockRate).toEqual(wilson(1, 6))
  })

  it('are shares of all readings, with the trials as n', () => {
    // 100 readings of two trials: 10 missing, 20 gross, 5 of them octaves.
    const cell = cellOf([
      { missing: 10, gross: 5 },
      { gross: 15, octave: 5 },
    ])
    expect(cell.missing).toEqual(wilson(0.2, 2))
    expect(cell.grossRate).toMatchObject({ value: 0.2, n: 2 })
    expect(cell.octaveRate).toMatchObject({ value: 0.05, n: 2 })
  })

  it('keep an honest interval when nothing was seen', () => {
    // Wilson, 0 of 20: up to .1611 (Newcombe 1998, Stat. Med. 17:857-872, Table I, method 3; from memory, formula recomputed).
    expect(cellOf(Array(20).fill({})).grossRate?.high).toBeCloseTo(0.1611, 4)
  })
})

describe('times', () => {
  it('are medians with a trial without a lock later than any', () => {
    expect(cellOf([{ lockS: 0.3 }, { lockS: 0.5 }, none]).lockS?.value).toBe(0.5)
    expect(cellOf([{ lockS: 0.3 }, { lockS: 0.4 }, { lockS: 0.5 }, none]).lockS?.value).toBeCloseTo(0.45, 12)
  })

  it('are the last of the locked half when exactly half locked, and null under half', () => {
    expect(cellOf([{ lockS: 0.3 }, { lockS: 0.4 }, none, none]).lockS?.value).toBe(0.4)
    expect(cellOf([{ lockS: 0.3 }, none, none]).lockS).toBeNull()
    expect(cellOf([{}, {}]).within1S).toBeNull()
  })

  it('take a premature claim at its time', () => {
    expect(cellOf([{ lockS: -0.2, claim: 'premature' }]).lockS?.value).toBe(-0.2)
  })

  it('have an open end where the interval reaches beyond the take', () => {
    // 6 of 10 locked: many draws of ten hold fewer than five.
    const cell = cellOf(
      [0.3, 0.31, 0.32, 0.33, 0.34, 0.35].map((lockS): Partial<Score> => ({ lockS })).concat(Array(4).fill(none)),
    )
    expect(cell.lockS).toMatchObject({ n: 10, high: Number.POSITIVE_INFINITY })
    expect(cell.lockS?.value).toBeCloseTo(0.345, 12)
    expect(cell.lockS?.low).toBeGreaterThanOrEqual(0.3)
    expect(JSON.parse(JSON.stringify(cell)).lockS.high).toBeNull()
  })

  it('give the bound its median too, null when it never allows a claim for most', () => {
    expect(cellOf([{ boundLockS: 0.01 }, { boundLockS: 0.03 }, { boundLockS: Number.NaN }]).boundLockS).toBe(0.03)
    expect(cellOf([{ boundLockS: Number.NaN }]).boundLockS).toBeNull()
  })
})

describe('figures in cents', () => {
  it('are medians over trials with an interval that holds them', () => {
    const cell = cellOf([3, 1, 2, 9, 5].map((medianAbsCents) => ({ medianAbsCents })))
    expect(cell.medianAbsCents).toMatchObject({ value: 3, n: 5 })
    const { low, high } = cell.medianAbsCents as { low: number; high: number }
    expect(low).toBeGreaterThanOrEqual(1)
    expect(low).toBeLessThan(3)
    expect(high).toBeGreaterThan(3)
    expect(high).toBeLessThanOrEqual(9)
  })

  it('leave out trials that cannot tell', () => {
    const cell = cellOf([{ offsetCents: Number.NaN }, { offsetCents: 4 }, { offsetCents: 6 }])
    expect(cell.offsetCents).toMatchObject({ value: 5, n: 2 })
    expect(cellOf([{ offsetCents: Number.NaN }]).offsetCents).toBeNull()
  })

  it('square before they average, and compare with the bound over the same trials', () => {
    const cell = cellOf([
      { noiseRmsCents: 3, boundRmsCents: 1 },
      { noiseRmsCents: 4, boundRmsCents: 2 },
      { noiseRmsCents: 100, boundRmsCents: Number.NaN },
    ])
    expect(cell.boundSdCents).toBeCloseTo(Math.sqrt(2.5), 12)
    expect(cell.boundRatio).toMatchObject({ n: 2 })
    expect(cell.boundRatio?.value).toBeCloseTo(Math.sqrt(5), 12)
    expect(cell.sdCents?.value).toBeCloseTo(Math.sqrt(10025 / 3), 10)
    expect(cell.boundNote).toBeNull()
  })

  it('say why they are below the bound', () => {
    expect(cellOf([0.4, 0.5, 0.45].map((noiseRmsCents) => ({ noiseRmsCents }))).boundNote).toMatch(/own evidence/)
    expect(cellOf(Array(3).fill({ noiseRmsCents: 25, boundRmsCents: 90 })).boundNote).toMatch(/gross/)
  })

  it('have no interval for one trial: null in JSON', () => {
    const figure = cellOf([{}]).medianAbsCents
    expect(figure).toEqual({ value: 1.5, low: Number.NaN, high: Number.NaN, n: 1 })
    expect(JSON.stringify(figure)).toBe('{"value":1.5,"low":null,"high":null,"n":1}')
  })
})

describe('a run that was written and read back', () => {
  it('gives the same summary from null as from NaN', () => {
    const outcomes = [scored(0), scored(1, none), scored(2, { ...none, noiseRmsCents: Number.NaN }), scored(3)]
    const back = JSON.parse(JSON.stringify(outcomes)) as Outcome[]
    expect(summarise(header, back)).toEqual(summarise(header, outcomes))
  })
})

describe('pooled figures', () => {
  it('draw anew within each string', () => {
    // Every string always gives the same value: within strata nothing varies, and the interval is a point.
    const outcomes = [1, 2, 3].flatMap((medianAbsCents, s) =>
      [0, 1, 2].map((i) => scored(3 * s + i, { medianAbsCents }, { string: `s${s}` })),
    )
    expect(figuresOf(outcomes, 1).medianAbsCents).toEqual({ value: 2, low: 2, high: 2, n: 9 })
  })
})

describe('levels of a cell', () => {
  const levels = (db: number, foreignCents: number): Levels => ({
    ratioDb: db,
    ratioAtDb: [db + 3, db + 1, db - 1, Number.NaN],
    inBandDb: [db, db + 10],
    inBandMedianDb: db + 5,
    inBandMinDb: db,
    foreignHz: 100,
    foreignCents,
    foreignOverStringDb: -20,
  })
  const run = [levels(1, -30), levels(3, Number.NaN), levels(8, 10)].flatMap((each, i) => [
    scored(i, {}, { levels: each }),
    scored(i, none, { method: 'mpm', levels: each }),
  ])
  const [yin, mpm] = summarise(header, run).cells

  it('are medians over the trials that can tell, with their number', () => {
    expect(yin?.inBandMedianDb).toMatchObject({ value: 8, n: 3 })
    expect(yin?.inBandMinDb?.value).toBe(3)
    expect([yin?.ratioAt02S?.value, yin?.ratioAt05S?.value, yin?.ratioAt1S?.value]).toEqual([6, 4, 2])
    expect(yin?.ratioAt2S).toBeNull()
    expect(yin?.foreignCents).toMatchObject({ value: -10, n: 2 })
  })

  it('read the same for every method of a cell, intervals included', () => {
    expect(mpm?.inBandMinDb).toEqual(yin?.inBandMinDb)
    expect(mpm?.foreignCents).toEqual(yin?.foreignCents)
  })

  it('are null for runs that were made before they were measured', () => {
    expect(summarise(header, [scored(0), scored(1)]).cells[0]?.inBandMedianDb).toBeNull()
  })
})
