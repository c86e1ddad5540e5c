/**
 * When two methods pay and when one is enough: records made by rule, a rough method and a fine one. Behind a display that averages over
 * 600 ms the fine one settles about a second later; without, both settle alike.
 */
import { describe, expect, it } from 'vitest'
import { defaultHand, defaultWork } from '../../src/core/plan/hand.ts'
import { type PlanRequest, type Prepared, planFor, prepare } from '../../src/core/plan/plan.ts'
import { stagesPay } from '../../src/core/plan/stagespay.ts'
import { type ToldPlan, told } from '../../src/core/plan/told.ts'
import { type MadeMethod, madeRecords } from './planparts.ts'

function preparedFor(made: readonly MadeMethod[]): Prepared {
  const request: PlanRequest = {
    ...{ records: madeRecords(made, { n: 60 }), snrDb: 10, bridge: 'fixed', offsetsKnown: false, seed: 7 },
    // Strings far off: several turns a string, each waited for.
    hand: { ...defaultHand, startMeanCents: -40, startSdCents: 30 },
    work: { ...defaultWork, unevenDb: 0 },
  }
  const prepared = prepare(request)
  if (prepared === null) throw new Error('nothing to plan with')
  return prepared
}

const cardOf = (prepared: Prepared, budgetS: number): ToldPlan => {
  const wanted = { budgetS, withinCents: 3, wantedChance: 0.8 }
  return told(prepared, planFor(prepared, wanted), wanted, 'made')
}

describe('a fine method behind a slow display, a rough one that is quick', () => {
  const slow = preparedFor([
    { id: 'rough', lockS: 0.35, sdCents: 4 },
    { id: 'fine', lockS: 1.4, sdCents: 0.4 },
  ])
  const { spans, alone, together, savedS } = stagesPay(slow, { withinCents: 3, wantedChance: 0.8 })

  it('two pay first, by more than chance; the fine one alone gets there later', () => {
    expect(spans[0]?.kind).toBe('chain')
    expect(together?.chain.stages.map(({ method }) => method)).toEqual([0, 1])
    expect(alone?.chain.stages.every(({ method }) => method === 1)).toBe(true)
    expect(savedS?.value).toBe((alone?.neededS ?? 0) - (together?.neededS ?? 0))
    expect(savedS?.low).toBeGreaterThan(0)
    // A turn less waited for with the fine one on each of six strings: 1.05 s each, less what a stage more costs.
    expect(savedS?.value).toBeLessThan(12 * 1.05)
  })

  it('says it where they pay, and where the time is too short', () => {
    const inside = cardOf(slow, spans[0]?.fromS ?? Number.NaN)
    expect(inside.verdict).toBe('chain')
    expect(inside.pays.sentence).toMatch(
      /^rough, then fine: done \d+ s \(\d+ to \d+\) sooner than fine alone, which needs \d+ s/,
    )
    const short = cardOf(slow, (spans[0]?.fromS ?? Number.NaN) - 1)
    expect(short.verdict).toBe('infeasible')
    expect(short.pays.sentence).toContain(`${spans[0]?.fromS}`)
    expect(short.pays.sentence).toContain('two methods pay')
  })
})

describe('a fine method that is as quick', () => {
  const quick = preparedFor([
    { id: 'rough', lockS: 0.3, sdCents: 4 },
    { id: 'fine', lockS: 0.35, sdCents: 0.4 },
  ])

  it('is enough at every budget, and what a second would come to is said', () => {
    const { spans } = stagesPay(quick, { withinCents: 3, wantedChance: 0.8 })
    expect(spans.map(({ kind }) => kind)).toEqual(['one-method'])
    expect(spans[0]?.toS).toBe(Number.POSITIVE_INFINITY)
    const card = cardOf(quick, spans[0]?.fromS ?? Number.NaN)
    expect(card.verdict).toBe('one-method')
    expect(card.pays.sentence).toMatch(/^A second method would not pay: rough, then fine need \d+ s, fine alone \d+ s/)
    // JSON knows no infinity.
    expect(card.pays.spans.at(-1)?.toS).toBeNull()
  })
})

describe('a tolerance that nothing reaches', () => {
  it('has no budget and no sentence', () => {
    const hopeless = preparedFor([{ id: 'rough', lockS: 0.3, sdCents: 40 }])
    expect(stagesPay(hopeless, { withinCents: 0.5, wantedChance: 0.8 })).toEqual({
      ...{ spans: [], alone: null, together: null, savedS: null },
    })
    expect(cardOf(hopeless, 60).pays.sentence).toBeNull()
  })
})
