import fc from 'fast-check'
import { describe, expect, it } from 'vitest'
import { exercises } from '../../src/core/drill/exercises.ts'
import { type Action, parseLog } from '../../src/core/drill/log.ts'
import { bestWay, type Detector } from '../../src/core/drill/policy.ts'
import { scoreOf } from '../../src/core/drill/score.ts'
import { Session } from '../../src/core/drill/session.ts'
import { randomStream } from '../../src/core/maths/random.ts'

const exercise = fc.constantFrom(...exercises)
const seed = fc.integer({ min: 0, max: 4294967295 })

/** Claims off by up to half a cent, after 0.3 to 0.6 s, the same for the same pluck. */
const honest = (of: number): Detector => ({
  hear({ string, method, residualCents, pluck }) {
    const random = randomStream(of, string, method, pluck)
    return { lockS: 0.3 + 0.3 * random.uniform(), cents: residualCents + random.uniform() - 0.5 }
  },
})

const actions = (strings: number, methods: number) =>
  fc.array(
    fc.record({
      kind: fc.constantFrom('pluck', 'turn', 'method', 'claim', 'let-go', 'change'),
      string: fc.nat(strings - 1),
      method: fc.nat(methods - 1),
      degrees: fc.double({ min: -30, max: 30, noNaN: true }),
      cents: fc.double({ min: -200, max: 200, noNaN: true }),
      afterS: fc.double({ min: 0, max: 3, noNaN: true }),
    }),
    { maxLength: 40 },
  )

describe('the drill', () => {
  it('the best way, replayed from its own log as text, is behind by exactly nothing and told nothing', () => {
    fc.assert(
      fc.property(exercise, seed, (given, of) => {
        const best = bestWay(given, of, honest(of))
        const score = scoreOf(given, of, parseLog(JSON.parse(JSON.stringify(best.log))), best)
        expect(score).toMatchObject({ lostS: 0, lostCents: 0, restS: 0, faults: [], undone: 0, passed: true })
        // |r| is at most the let-go and the claim's error, here half a cent, plus what a later turn of the others moved.
        const letGo = given.methods[given.methods.length - 1].letGoCents
        if (given.sets.every(({ strings }) => strings.length === 1))
          expect(score.worstCents).toBeLessThanOrEqual(letGo + 0.5)
      }),
      { numRuns: 40 },
    )
  })

  it('a late hand loses exactly what it waits, and never gains by an added pause', () => {
    fc.assert(
      fc.property(
        exercise,
        seed,
        fc.nat(200),
        fc.double({ min: 0.01, max: 20, noNaN: true }),
        (given, of, place, pause) => {
          const best = bestWay(given, of, honest(of))
          const from = place % best.log.length
          const late = best.log.map((action, at) => (at < from ? action : { ...action, atS: action.atS + pause }))
          const score = scoreOf(given, of, late, best)
          expect(score.lostS).toBeCloseTo(pause, 9)
          expect(score.lostCents).toBe(0)
        },
      ),
      { numRuns: 40 },
    )
  })

  it('whatever is done: no string over 150 c by its own peg, regret never below zero, same log same score', () => {
    const exercisesAndActions = exercise.chain((given) => {
      const { strings } = new Session(given, 0)
      return fc.tuple(fc.constant(given), actions(strings.length, given.methods.length))
    })
    fc.assert(
      fc.property(exercisesAndActions, seed, ([given, wild], of) => {
        const session = new Session(given, of)
        let atS = 0
        const log: Action[] = wild.map(({ afterS, kind, string, method, degrees, cents }): Action => {
          atS += afterS
          if (kind === 'pluck' || kind === 'let-go') return { kind, atS, string }
          if (kind === 'turn') return { kind, atS, string, degrees }
          if (kind === 'method') return { kind, atS, method }
          if (kind === 'claim') return { kind, atS, string, method, cents }
          return { kind: 'change', atS }
        })
        for (const action of log) {
          const turned = session.apply(action)
          if (action.kind === 'turn' && (turned?.windDeg ?? 0) > 0)
            expect(session.residualCents(action.string)).toBeLessThanOrEqual(150 + 1e-9)
        }
        log.push({ kind: 'finish', atS })
        const best = bestWay(given, of, honest(of))
        const score = scoreOf(given, of, log, best)
        expect(score.lostS).toBeGreaterThanOrEqual(0)
        expect(score.lostCents).toBeGreaterThanOrEqual(0)
        expect(score.restS).toBeGreaterThanOrEqual(0)
        for (const fault of score.faults) expect(Math.max(fault.seconds, fault.cents)).toBeGreaterThanOrEqual(0)
        expect(scoreOf(given, of, parseLog(JSON.parse(JSON.stringify(log))), best)).toEqual(score)
      }),
      { numRuns: 60 },
    )
  })
})
