/**
 * More time never makes a plan worse, a plan says itself when two methods pay, and the same wish gives the same card: on plucks really
 * rendered and heard, four strings of a bass at 12 kHz, so that they are recorded within seconds. Two methods, each also behind a
 * display that averages: the rough one over 150 ms, the fine one over 600 ms.
 */
import fc from 'fast-check'
import { beforeAll, describe, expect, it } from 'vitest'
import { instrumentById } from '../../src/core/instruments/podium.ts'
import type { DisplaySettings } from '../../src/core/methods/displayed.ts'
import { recordsOf } from '../../src/core/plan/fromrun.ts'
import { defaultHand, defaultWork } from '../../src/core/plan/hand.ts'
import { type Plan, type Prepared, planFor, prepare } from '../../src/core/plan/plan.ts'
import { stagesPay } from '../../src/core/plan/stagespay.ts'
import { type ToldPlan, told } from '../../src/core/plan/told.ts'
import { planStudy, roomById } from '../../src/core/study/presets.ts'
import { headerOf, trialCount } from '../../src/core/study/record.ts'
import type { MethodChoice } from '../../src/core/study/study.ts'
import { openStudy } from '../../src/core/study/trial.ts'

const seed = 20261130
const instrument = instrumentById('ring-bass', 'instrument')
const rough: MethodChoice = { id: 'harmonic-sum', values: { window: 1024, hop: 128 } }
const fine: MethodChoice = { id: 'partial-fit', values: { window: 1024, hop: 128 } }
const behind = (choice: MethodChoice, averagingMs: number): MethodChoice => {
  const display: DisplaySettings = { averagingMs, updateHz: 30, inRangeCents: 0, gateDb: -120 }
  return { ...choice, display }
}

const sets = {
  'no displays': [rough, fine],
  'two slow displays': [behind(rough, 150), behind(fine, 600)],
} as const

function recordedAnew(name: keyof typeof sets): Prepared {
  const methods = sets[name]
  const study = {
    ...planStudy({ instrument, room: roomById('pink'), snrsDb: [10, 20] }),
    ...{ seed: 41, sampleRateHz: 12000, repeats: 12, takeS: 2.5, methods, untilClaim: true as const },
  }
  const open = openStudy(study, new Map())
  const outcomes = Array.from({ length: trialCount(study) }, (_, index) => open.run(index).outcomes).flat()
  const records = recordsOf(headerOf(study, '0', 'node'), outcomes, instrument, 'pink')
  const hand = { ...defaultHand, startSdCents: 30 }
  const prepared = prepare({
    ...{ records, snrDb: 20, bridge: 'fixed', hand, work: defaultWork },
    offsetsKnown: false,
    seed: 3,
  })
  if (prepared === null) throw new Error('nothing to plan with')
  return prepared
}

const kept = new Map<keyof typeof sets, Prepared>()

function recorded(name: keyof typeof sets): Prepared {
  const known = kept.get(name) ?? recordedAnew(name)
  kept.set(name, known)
  return known
}

describe.each(['no displays', 'two slow displays'] as const)('a plan from recorded plucks, %s', (name) => {
  let prepared: Prepared
  beforeAll(() => {
    prepared = recorded(name)
  }, 120_000)

  const wish = fc.record({
    budgetS: fc.double({ min: 20, max: 150, noNaN: true }),
    moreS: fc.double({ min: 0, max: 60, noNaN: true }),
    withinCents: fc.double({ min: 6, max: 25, noNaN: true }),
    wantedChance: fc.constantFrom(0.5, 0.8, 0.9),
  })

  it('more time: never infeasible again, never a lower chance, a worse string, or a wider tolerance to expect', () => {
    let feasible = 0
    fc.assert(
      fc.property(wish, ({ budgetS, moreS, withinCents, wantedChance }) => {
        const at = (time: number): Plan => planFor(prepared, { budgetS: time, withinCents, wantedChance })
        const [before, after] = [at(budgetS), at(budgetS + moreS)]
        expect(after.reachableCents).toBeLessThanOrEqual(before.reachableCents)
        expect(after.neededS).toBe(before.neededS)
        if (before.verdict === 'infeasible') return
        feasible++
        expect(after.verdict).not.toBe('infeasible')
        expect(after.figures.chance.value).toBeGreaterThanOrEqual(before.figures.chance.value)
        expect(after.figures.worstP95Cents.value).toBeLessThanOrEqual(before.figures.worstP95Cents.value)
      }),
      { seed, numRuns: 15 },
    )
    // Wishes that no plan meets show little.
    expect(feasible).toBeGreaterThan(4)
  })

  it('a wish is infeasible exactly where it needs more time than there is', () => {
    fc.assert(
      fc.property(wish, ({ budgetS, withinCents, wantedChance }) => {
        const { verdict, neededS, figures } = planFor(prepared, { budgetS, withinCents, wantedChance })
        expect(verdict === 'infeasible').toBe(neededS > budgetS)
        if (verdict !== 'infeasible') expect(figures.chance.value).toBeGreaterThanOrEqual(wantedChance)
      }),
      { seed, numRuns: 15 },
    )
  })

  it('what is said of all budgets is what is answered at each', () => {
    fc.assert(
      fc.property(wish, fc.integer({ min: 8, max: 260 }), ({ withinCents, wantedChance }, budgetS) => {
        const { spans, alone, together } = stagesPay(prepared, { withinCents, wantedChance })
        const { verdict, neededS } = planFor(prepared, { budgetS, withinCents, wantedChance })
        const span = spans.find(({ fromS, toS }) => budgetS >= fromS && budgetS <= toS)
        expect(span?.kind ?? 'infeasible').toBe(verdict)
        expect(Math.min(...[alone, together].map((one) => one?.neededS ?? Number.POSITIVE_INFINITY))).toBe(neededS)
        for (const [at, { fromS }] of spans.entries()) if (at > 0) expect(fromS).toBe((spans[at - 1]?.toS ?? 0) + 1)
      }),
      { seed, numRuns: 15 },
    )
  })
})

describe('the card', () => {
  const wanted = { budgetS: 70, withinCents: 12, wantedChance: 0.8 }
  const cardOf = (prepared: Prepared): ToldPlan => told(prepared, planFor(prepared, wanted), wanted, instrument.id)

  it('is the same for the same wish, though the plucks were recorded anew', () => {
    expect(cardOf(recordedAnew('no displays'))).toEqual(cardOf(recorded('no displays')))
  })
})
