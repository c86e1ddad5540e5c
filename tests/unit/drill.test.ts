import { describe, expect, it } from 'vitest'
import { faultsOf } from '../../src/core/drill/faults.ts'
import { appended, parseLog } from '../../src/core/drill/log.ts'
import { VirtualPegs } from '../../src/core/drill/peg.ts'
import { bestWay, steadyHand } from '../../src/core/drill/policy.ts'
import { scoreOf } from '../../src/core/drill/score.ts'
import { Session } from '../../src/core/drill/session.ts'
import { fixedCoupling, floatingCoupling } from '../../src/core/plan/coupling.ts'
import { made, Scripted, steadyDetector } from './drillparts.ts'

const two = { startSide: 'flat', startFromCents: 40, startToCents: 60 }
const twoMethods = {
  ...two,
  methods: [
    { id: 'whitened-sum', letGoCents: 8 },
    { id: 'partial-fit', letGoCents: 2 },
  ],
  stages: [
    { method: 0, letGoCents: 8, handOver: 'confirm' },
    { method: 1, letGoCents: 2, handOver: 'confirm' },
  ],
}
const seed = 7
const kinds = (faults: readonly { readonly kind: string }[]): string[] => faults.map(({ kind }) => kind)

describe('a virtual peg', () => {
  const pegs = (over = {}) =>
    new VirtualPegs({
      ...{ centsPerDegree: [1.5, 2], coupling: fixedCoupling(2, 0.01), backlashDeg: 10, slackCents: 4 },
      ...{ startCents: [-20, 0], startPlay: [0, 0.5] },
      ...over,
    })

  it('winds cents per degree, and lets the other string down by its share', () => {
    const two = pegs()
    two.turn(0, 10)
    expect(two.residualCents(0)).toBeCloseTo(-5, 12)
    expect(two.residualCents(1)).toBeCloseTo(-0.15, 12)
  })

  it('does nothing over its play where the way is reversed, both ways', () => {
    const one = pegs()
    expect(one.turn(0, 4).windDeg).toBe(4)
    expect(one.turn(0, -10).windDeg).toBe(0)
    expect(one.turn(0, -2).windDeg).toBe(-2)
    expect(one.turn(0, 9)).toEqual({ buttonDeg: 9, windDeg: 0, refused: false })
    expect(one.turn(0, 3).windDeg).toBeCloseTo(2, 12)
    // Half of the play was left upwards at first.
    expect(one.turn(1, 6).windDeg).toBeCloseTo(1, 12)
  })

  it('says how many degrees of the button a move takes, play included', () => {
    const one = pegs()
    for (const cents of [7, -3, -2, 5, 0]) {
      const before = one.residualCents(0)
      one.turn(0, one.degreesFor(0, cents))
      expect(one.residualCents(0) - before).toBeCloseTo(cents, 10)
    }
  })

  it('winds nothing up past 150 c, and says so; down is free', () => {
    const one = pegs({ startCents: [140, 0] })
    const turned = one.turn(0, 20)
    expect(turned.refused).toBe(true)
    expect(one.residualCents(0)).toBeCloseTo(150, 10)
    expect(turned.buttonDeg).toBeCloseTo(10 / 1.5, 10)
    expect(one.turn(0, 1).buttonDeg).toBeCloseTo(0, 10)
    expect(one.turn(0, -30).refused).toBe(false)
  })

  it('gives way when let go after it was let down, once', () => {
    const one = pegs({ startCents: [20, 0] })
    one.turn(0, one.degreesFor(0, -20))
    expect(one.letGo(0)).toBe(4)
    expect(one.residualCents(0)).toBeCloseTo(-4, 12)
    expect(one.letGo(0)).toBe(0)
    one.turn(0, one.degreesFor(0, 4))
    expect(one.letGo(0)).toBe(0)
    expect(one.residualCents(0)).toBeCloseTo(0, 12)
  })

  it('pulls on the others as the floating bridge of the plan does', () => {
    const strings = [
      { stiffnessNPerMm: 34, tensionN: 78 },
      { stiffnessNPerMm: 16, tensionN: 68 },
    ]
    const coupling = floatingCoupling(strings, 100)
    const floating = pegs({ coupling })
    floating.turn(0, 10)
    const moved = 10 * 1.5 * coupling.yielding[0]
    expect(floating.residualCents(0)).toBeCloseTo(-20 + moved, 12)
    expect(floating.residualCents(1)).toBeCloseTo(coupling.matrix[2] * moved, 12)
  })
})

describe('a log', () => {
  it('tells the parts of one movement as one turn, and back and forth as two', () => {
    const turn = (atS: number, degrees: number) => ({ kind: 'turn', atS, string: 0, degrees }) as const
    let log = appended([], turn(1, 0.2))
    log = appended(log, turn(1.05, 0.3))
    expect(log).toEqual([turn(1, 0.5)])
    log = appended(log, turn(1.08, -0.1))
    log = appended(log, turn(1.5, -0.1))
    expect(log.map((action) => action.kind === 'turn' && action.degrees)).toEqual([0.5, -0.1, -0.1])
  })

  it('is read back, and refused when its times run backwards', () => {
    const log = new Scripted(made(), seed).wait(1).pluck(0).finish()
    expect(parseLog(JSON.parse(JSON.stringify(log)))).toEqual(log)
    expect(() => parseLog([...log].reverse())).not.toThrow()
    expect(() => parseLog([{ kind: 'finish', atS: 2 }, ...log])).toThrow('1 s comes after 2 s')
    expect(() => parseLog([{ kind: 'pluck', atS: 0, string: -1 }])).toThrow('at least 0')
  })
})

describe('a perfect script', () => {
  it('scores exactly zero and is told nothing: one string from flat', () => {
    const exercise = made(two)
    const best = bestWay(exercise, seed, steadyDetector())
    const { pluckS, reactionS, turnStartS, turnDegPerS } = steadyHand
    const person = new Scripted(exercise, seed)
    const { session } = person
    person.wait(pluckS).pluck(0).wait(0.4).claim(0)
    const off = -session.residualCents(0)
    person
      .wait(reactionS)
      .wait(turnStartS + off / (session.centsPerDegree(0) * turnDegPerS))
      .turn(0, off)
    person.wait(pluckS).pluck(0).wait(0.4).claim(0).wait(reactionS).letGo(0)
    const score = scoreOf(exercise, seed, person.finish(), best)
    expect(score).toMatchObject({ lostS: 0, lostCents: 0, faults: [], restS: 0, undone: 0, passed: true })
    expect(score.timeS).toBe(best.timeS)
    expect(score.worstCents).toBeLessThan(1e-9)
  })

  it('is exactly as far behind as it waited', () => {
    const exercise = made(two)
    const best = bestWay(exercise, seed, steadyDetector())
    const later = best.log.map((action) => ({ ...action, atS: action.atS + 0.5 }))
    expect(scoreOf(exercise, seed, later, best)).toMatchObject({ lostS: 0.5, lostCents: 0, faults: [], restS: 0.5 })
  })
})

describe('a careless script is told its fault', () => {
  const told = (exercise: ReturnType<typeof made>, person: Scripted, detector = steadyDetector()) =>
    scoreOf(exercise, seed, person.finish(), bestWay(exercise, seed, detector))

  it('lingered: by the seconds beyond a reaction', () => {
    const exercise = made(two)
    const person = new Scripted(exercise, seed).pluck(0).home(0).wait(1).pluck(0).wait(0.4).claim(0).wait(4).letGo(0)
    const [fault, ...others] = told(exercise, person).faults
    expect(fault).toMatchObject({ kind: 'lingered', string: 0, method: 0 })
    expect(fault.seconds).toBeCloseTo(4 - steadyHand.reactionS, 9)
    expect(others).toEqual([])
  })

  it('lingered with the rough method after it read inside, then fine', () => {
    const exercise = made(twoMethods)
    const person = new Scripted(exercise, seed).pluck(0).wait(0.4).claim(0).home(0).wait(1).pluck(0).wait(0.4).claim(0)
    person.wait(3).method(1).pluck(0).wait(0.4).claim(0).wait(0.3).letGo(0)
    const { faults } = told(exercise, person)
    expect(kinds(faults)).toEqual(['lingered'])
    expect(faults[0]).toMatchObject({ method: 0, string: 0 })
    expect(faults[0].seconds).toBeCloseTo(3 - steadyHand.reactionS, 9)
  })

  it('switched early: by the cents outside the hand-over; not when the string truly was inside', () => {
    const exercise = made(twoMethods)
    const person = new Scripted(exercise, seed).pluck(0).wait(0.4).claim(0).method(1)
    const off = Math.abs(person.session.residualCents(0))
    person.pluck(0).wait(0.4).claim(0).home(0).wait(1).pluck(0).wait(0.4).claim(0).letGo(0)
    const { faults } = told(exercise, person)
    expect(kinds(faults)).toEqual(['switched-early'])
    expect(faults[0].cents).toBeCloseTo(off - 8, 9)

    const inTime = new Scripted(exercise, seed).pluck(0).wait(0.4).claim(0).home(0).method(1)
    inTime.wait(1).pluck(0).wait(0.4).claim(0).letGo(0)
    expect(told(exercise, inTime).faults).toEqual([])
  })

  it('does not blame a switch where the best way is the fine method alone', () => {
    const exercise = made({ ...twoMethods, stages: [twoMethods.stages[1]] })
    const person = new Scripted(exercise, seed).method(1).pluck(0).wait(0.4).claim(0).home(0)
    person.wait(1).pluck(0).wait(0.4).claim(0).letGo(0)
    expect(told(exercise, person).faults).toEqual([])
  })

  it('from sharp: by what the string gives way, which is lost', () => {
    const exercise = made({ startSide: 'sharp', slackCents: 4, backlashDeg: 6 })
    const person = new Scripted(exercise, seed).pluck(0)
    person.turn(0, -person.session.residualCents(0)).wait(1).pluck(0).wait(0.4).claim(0).letGo(0)
    const score = told(exercise, person)
    expect(kinds(score.faults)).toEqual(['from-sharp'])
    expect(score.faults[0].cents).toBe(4)
    expect(score.worstCents).toBeCloseTo(4, 9)
    expect(score.lostCents).toBeCloseTo(4, 9)
    expect(score.passed).toBe(false)
    // Mended: up from flat again.
    const mended = new Scripted(exercise, seed).pluck(0)
    mended
      .turn(0, -mended.session.residualCents(0))
      .letGo(0)
      .pluck(0)
      .home(0)
      .wait(1)
      .pluck(0)
      .wait(0.4)
      .claim(0)
      .letGo(0)
    expect(told(exercise, mended).faults).toEqual([])
  })

  it('from sharp: by what the play of the peg is worth where the exercise says nothing else', () => {
    const exercise = made({ startSide: 'sharp', backlashDeg: 6 })
    const person = new Scripted(exercise, seed).pluck(0)
    person.turn(0, -person.session.residualCents(0)).wait(1).pluck(0).wait(0.4).claim(0).letGo(0)
    const { faults } = told(exercise, person)
    expect(kinds(faults)).toEqual(['from-sharp'])
    expect(faults[0].cents).toBeCloseTo(6 * person.session.centsPerDegree(0), 9)
  })

  it('let go outside: by the cents outside; only the last time counts', () => {
    const exercise = made(two)
    const person = new Scripted(exercise, seed).pluck(0)
    person
      .turn(0, -person.session.residualCents(0) - 5)
      .wait(1)
      .pluck(0)
      .wait(0.4)
      .claim(0)
      .letGo(0)
    const { faults } = told(exercise, person)
    expect(kinds(faults)).toEqual(['let-go-outside'])
    expect(faults[0].cents).toBeCloseTo(5 - 2, 9)

    const back = new Scripted(exercise, seed).pluck(0).wait(0.4).claim(0).letGo(0)
    back.pluck(0).home(0).wait(1).pluck(0).wait(0.4).claim(0).letGo(0)
    expect(told(exercise, back).faults).toEqual([])
  })

  it('unconfirmed: turned and left, or never touched, by what is left in truth', () => {
    const exercise = made({ ...two, sets: [{ instrument: 'ring-rhythm', strings: [5, 4] }] })
    const person = new Scripted(exercise, seed).pluck(0).wait(0.4).claim(0).home(0).letGo(0)
    const { faults, undone, passed } = told(exercise, person)
    expect(kinds(faults)).toEqual(['unconfirmed', 'unconfirmed'])
    expect(faults.map(({ string }) => string)).toEqual([1, 0])
    expect(faults[0].cents).toBeCloseTo(Math.abs(person.session.residualCents(1)), 9)
    expect({ undone, passed }).toEqual({ undone: 2, passed: false })
  })

  it('unconfirmed: read inside, but not on a new pluck where a tone may be what is read', () => {
    const exercise = made({ ...two, confirmPluck: true })
    const person = new Scripted(exercise, seed).pluck(0).wait(0.4).claim(0).home(0).wait(0.4).claim(0).letGo(0)
    expect(kinds(told(exercise, person).faults)).toEqual(['unconfirmed'])
    expect(told(made(two), new Scripted(made(two), seed).pluck(0).home(0).wait(0.4).claim(0).letGo(0)).faults).toEqual(
      [],
    )
  })

  it('unconfirmed: a turn after the claim voids it', () => {
    const exercise = made(two)
    const person = new Scripted(exercise, seed).pluck(0).home(0).pluck(0).wait(0.4).claim(0).turn(0, 1).letGo(0)
    expect(kinds(told(exercise, person).faults)).toEqual(['unconfirmed'])
  })

  it('unchecked: handed over without plucking every string once more', () => {
    const sets = [
      { instrument: 'ring-rhythm', strings: [5, 4] },
      { instrument: 'ring-lead', strings: [3] },
    ]
    const exercise = made({ ...two, sets, check: true })
    const tune = (person: Scripted, string: number) =>
      person.pluck(string).home(string).wait(1).pluck(string).wait(0.4).claim(string).wait(0.3).letGo(string).wait(0.1)
    const check = (person: Scripted, string: number) =>
      person.pluck(string).wait(0.4).claim(string).wait(0.3).letGo(string).wait(0.1)
    const careless = new Scripted(exercise, seed)
    for (const string of [0, 1]) tune(careless, string)
    check(careless, 1)
    careless.change()
    tune(careless, 2)
    check(careless, 2)
    const { faults } = told(exercise, careless)
    expect(faults.map(({ kind, string }) => [kind, string])).toEqual([['unchecked', 0]])
  })

  it('out of time: strings not done when the clock stops the work', () => {
    const exercise = made({ ...two, clockS: 5 })
    const person = new Scripted(exercise, seed).pluck(0).wait(0.4).claim(0).home(0).wait(4.6)
    expect(kinds(told(exercise, person).faults)).toEqual(['out-of-time'])
  })

  it('on a floating bridge: confirmed strings that others pulled away', () => {
    const exercise = made({
      ...{ ...two, bridge: 'floating', bridgeNPerMm: 50, toleranceCents: 3 },
      sets: [{ instrument: 'ring-rhythm', strings: [6, 5] }],
    })
    const person = new Scripted(exercise, seed)
    for (const string of [0, 1]) person.pluck(string).home(string).pluck(string).wait(0.4).claim(string).letGo(string)
    const score = told(exercise, person)
    expect(score.faults.map(({ kind, string }) => [kind, string])).toEqual([['unconfirmed', 0]])
    expect(score.worstCents).toBeGreaterThan(3)
  })

  it('has all its faults told together, and the rest of the time beside them', () => {
    const exercise = made({ ...two, sets: [{ instrument: 'ring-rhythm', strings: [5, 4] }] })
    const person = new Scripted(exercise, seed)
      .wait(6)
      .pluck(0)
      .home(0)
      .wait(1)
      .pluck(0)
      .wait(0.4)
      .claim(0)
      .wait(5)
      .letGo(0)
    person
      .pluck(1)
      .turn(1, -person.session.residualCents(1) - 6)
      .wait(1)
      .pluck(1)
      .wait(0.4)
      .claim(1)
      .letGo(1)
      .wait(3)
    const score = told(exercise, person)
    expect(kinds(score.faults)).toEqual(['lingered', 'let-go-outside'])
    expect(score.restS).toBeCloseTo(score.lostS - (5 - steadyHand.reactionS), 9)
  })
})

describe('the best way', () => {
  it('is the fine method alone unless its display is slow, then the rough one first', () => {
    const exercise = made({ ...twoMethods, stages: undefined, startFromCents: 60, startToCents: 60 })
    expect(bestWay(exercise, seed, steadyDetector([0.3, 0.35])).stages.map(({ method }) => method)).toEqual([1])
    expect(bestWay(exercise, seed, steadyDetector([0.3, 1.45])).stages.map(({ method }) => method)).toEqual([0, 1])
  })

  it('lets a string go that never reads, and says that it is undone', () => {
    const deaf = { hear: () => ({ lockS: Number.NaN, cents: Number.NaN }) }
    const way = bestWay(made(two), seed, deaf)
    expect(way.undone).toBe(1)
    // Two plucks, each waited for in vain: .8 + 1.5 s twice.
    expect(way.timeS).toBeCloseTo(2 * (0.8 + 1.5), 12)
  })

  it('takes the time the closed form says: pluck, lock, react, turn, pluck, lock, react', () => {
    const exercise = made(two)
    const start = -new Session(exercise, seed).residualCents(0)
    const perDegree = new Session(exercise, seed).centsPerDegree(0)
    const { timeS } = bestWay(exercise, seed, steadyDetector([0.4]))
    expect(timeS).toBeCloseTo(2 * (0.8 + 0.4 + 0.35) + 0.35 + start / (perDegree * 60), 9)
  })

  it('is measured by its own stages: faults of a log do not depend on who plays it', () => {
    const exercise = made(twoMethods)
    const best = bestWay(exercise, seed, steadyDetector())
    expect(faultsOf(exercise, seed, best.log, best.stages)).toEqual([])
  })
})
