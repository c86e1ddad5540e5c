/** What every plan promises, whatever the records. Seeds are fixed; fast-check prints the failing case. */
import fc from 'fast-check'
import { describe, expect, it } from 'vitest'
import type { Chain } from '../../src/core/plan/chain.ts'
import { choose } from '../../src/core/plan/choose.ts'
import { Draws } from '../../src/core/plan/draws.ts'
import { defaultHand, defaultWork } from '../../src/core/plan/hand.ts'
import { outcomesOf } from '../../src/core/plan/optimise.ts'
import { type ChainOutcome, chanceOf } from '../../src/core/plan/outcome.ts'
import { type PlanRequest, planFor, prepare, settingOf } from '../../src/core/plan/plan.ts'
import type { PlanRecords } from '../../src/core/plan/records.ts'
import { type MadeMethod, madeRecords } from '../unit/planparts.ts'

const seed = 20251125

const method = fc.record({
  lockS: fc.double({ min: 0.26, max: 1.2, noNaN: true }),
  sdCents: fc.double({ min: 0.1, max: 4, noNaN: true }),
  meanCents: fc.double({ min: -2, max: 2, noNaN: true }),
  never: fc.double({ min: 0, max: 0.2, noNaN: true }),
})

const requestOf = (records: PlanRecords, change: Partial<PlanRequest> = {}): PlanRequest => ({
  ...{ records, snrDb: 10, bridge: 'fixed', hand: defaultHand, work: { ...defaultWork, unevenDb: 0 } },
  ...{ offsetsKnown: false, seed: 3 },
  ...change,
})

const outcomeOf = (request: PlanRequest, chain: Chain, episodes = 64): ChainOutcome =>
  outcomesOf(settingOf(request, new Draws(request.seed, episodes, request.records.strings.length)), [
    chain,
  ])[0] as ChainOutcome

const chain: Chain = {
  stages: [
    { method: 0, letGoCents: 5, handOver: 'turn-once' },
    { method: 1, letGoCents: 1.5, handOver: 'confirm' },
  ],
  verified: true,
}

const two = fc.tuple(method, method).map(([a, b]): MadeMethod[] => [
  { id: 'a', ...a },
  { id: 'b', ...b },
])

describe('one chain', () => {
  it('halved lock times: no episode slower, the same residuals', () => {
    fc.assert(
      fc.property(two, (made) => {
        const whole = outcomeOf(requestOf(madeRecords(made)), chain)
        const quick = made.map((one) => ({ ...one, lockS: one.lockS / 2 }))
        const half = outcomeOf(requestOf(madeRecords(quick)), chain)
        expect(half.worstCents).toEqual(whole.worstCents)
        for (const [episode, timeS] of half.timeS.entries())
          expect(timeS).toBeLessThanOrEqual(whole.timeS[episode] as number)
      }),
      { seed, numRuns: 20 },
    )
  })

  it('twice every duration: twice the time, the same residuals', () => {
    fc.assert(
      fc.property(two, (made) => {
        const { pluckS, reactionS, turnStartS, turnDegPerS } = defaultHand
        const work = { ...defaultWork, unevenDb: 0 }
        const slow = requestOf(madeRecords(made.map((one) => ({ ...one, lockS: 2 * one.lockS }))), {
          hand: {
            ...defaultHand,
            ...{
              pluckS: 2 * pluckS,
              reactionS: 2 * reactionS,
              turnStartS: 2 * turnStartS,
              turnDegPerS: turnDegPerS / 2,
            },
          },
          work: { ...work, timeOutS: 2 * work.timeOutS },
        })
        const once = outcomeOf(requestOf(madeRecords(made)), chain)
        const twice = outcomeOf(slow, chain)
        expect(twice.worstCents).toEqual(once.worstCents)
        for (const [episode, timeS] of twice.timeS.entries())
          expect(timeS).toBeCloseTo(2 * (once.timeS[episode] as number), 8)
      }),
      { seed, numRuns: 20 },
    )
  })

  it('strings that leave each other alone and were verified: no further off than the let-go and the largest error', () => {
    fc.assert(
      fc.property(two, (made) => {
        const records = madeRecords(made)
        const request = requestOf(records, { work: { ...defaultWork, unevenDb: 0, coupling: 0 } })
        const errors = records.cells.flatMap((cells) =>
          cells.flatMap(({ n, errorCents }) => [...errorCents.subarray(n)].filter((value) => !Number.isNaN(value))),
        )
        const most = 1.5 + Math.max(...errors.map(Math.abs))
        const { worstCents, unverified } = outcomeOf(request, chain)
        for (const [episode, cents] of worstCents.entries()) {
          // The recorded offsets are constant, so a draw's error is the recorded one up to rounding.
          if (unverified[episode] === 0) expect(cents).toBeLessThanOrEqual(most + 1e-9)
        }
      }),
      { seed, numRuns: 20 },
    )
  })

  it('never faster than plucking and reacting allow', () => {
    fc.assert(
      fc.property(two, (made) => {
        const { timeS } = outcomeOf(requestOf(madeRecords(made)), chain)
        const fastest = Math.min(...made.map(({ lockS }) => lockS), defaultWork.timeOutS)
        // Three plucks a string at the least: each stage one, and the check. A pluck given up is no faster than the time-out.
        for (const time of timeS) expect(time).toBeGreaterThanOrEqual(6 * 3 * (defaultHand.pluckS + fastest) - 1e-9)
      }),
      { seed, numRuns: 20 },
    )
  })

  it('more time or a wider tolerance never lowers its chance', () => {
    fc.assert(
      fc.property(
        two,
        fc.double({ min: 20, max: 80, noNaN: true }),
        fc.double({ min: 1, max: 6, noNaN: true }),
        (made, budgetS, withinCents) => {
          const outcome = outcomeOf(requestOf(madeRecords(made)), chain)
          const chance = chanceOf(outcome, { budgetS, withinCents })
          expect(chanceOf(outcome, { budgetS: 1.2 * budgetS, withinCents })).toBeGreaterThanOrEqual(chance)
          expect(chanceOf(outcome, { budgetS, withinCents: 1.2 * withinCents })).toBeGreaterThanOrEqual(chance)
        },
      ),
      { seed, numRuns: 20 },
    )
  })
})

describe('a plan', () => {
  const made: readonly MadeMethod[] = [
    { id: 'a', lockS: 0.3, sdCents: 2, never: 0.02 },
    { id: 'b', lockS: 0.7, sdCents: 0.4, never: 0.05 },
  ]
  const prepared = prepare(requestOf(madeRecords(made, { unseen: true })))
  if (prepared === null) throw new Error('nothing to plan with')
  const verified = prepared.outcomes.filter((outcome) => outcome.chain.verified)

  it('more time never gives less: neither a lower chance nor a worse string', () => {
    let last = { chance: 0, worst: Number.POSITIVE_INFINITY }
    for (let budgetS = 10; budgetS <= 120; budgetS += 2.5) {
      const choice = choose(verified, { budgetS, withinCents: 3, wantedChance: 0.3 })
      // Once there is enough time there is with more of it.
      if (choice === null) {
        expect(last.chance).toBe(0)
        continue
      }
      expect(choice.chance).toBeGreaterThanOrEqual(0.3)
      const sorted = choice.outcome.worstCents.slice().sort()
      const worst = sorted[Math.floor(0.95 * (sorted.length - 1))] as number
      expect(choice.chance).toBeGreaterThanOrEqual(last.chance)
      // Quantiles of 512 worst strings: between neighbours of the order statistic.
      expect(worst).toBeLessThanOrEqual(last.worst + 1e-9)
      last = { chance: choice.chance, worst }
    }
    expect(last.chance).toBeGreaterThan(0)
  })

  it('the frontier of each kind strictly falls', () => {
    const { frontier } = planFor(prepared, { budgetS: 60, withinCents: 3, wantedChance: 0.8 })
    expect(frontier.length).toBeGreaterThan(3)
    for (const [at, point] of frontier.entries()) {
      const before = frontier[at - 1]
      if (before === undefined || before.kind !== point.kind) continue
      expect(point.timeP90S).toBeGreaterThan(before.timeP90S)
      expect(point.worstP95Cents).toBeLessThan(before.worstP95Cents)
    }
  })

  it('is the same again, and does not depend on the order of the methods', () => {
    const wanted = { budgetS: 60, withinCents: 3, wantedChance: 0.8 }
    const again = prepare(requestOf(madeRecords(made, { unseen: true })))
    const turned = prepare(requestOf(madeRecords([...made].reverse(), { unseen: true })))
    if (again === null || turned === null) throw new Error('nothing to plan with')
    expect(planFor(again, wanted)).toEqual(planFor(prepared, wanted))
    expect(planFor(turned, wanted).figures).toEqual(planFor(prepared, wanted).figures)
  })

  it('another method never lowers the best chance', () => {
    const more = prepare(requestOf(madeRecords([...made, { id: 'c', lockS: 0.5, sdCents: 1 }], { unseen: true })))
    if (more === null) throw new Error('nothing to plan with')
    const best = (outcomes: readonly ChainOutcome[], budgetS: number): number =>
      Math.max(...outcomes.map((outcome) => chanceOf(outcome, { budgetS, withinCents: 3 })))
    for (const budgetS of [40, 50, 60, 90]) {
      // A chain that few episodes put behind may be lost: within two standard errors of a share of 512, at most 0.044.
      expect(best(more.outcomes, budgetS)).toBeGreaterThanOrEqual(best(prepared.outcomes, budgetS) - 0.044)
    }
  })
})
