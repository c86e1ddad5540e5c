/** The Plan page's own values: choices through a link and back, records of what was run so far, "what if" laid over a wish. */
import { beforeAll, describe, expect, it } from 'vitest'
import { type PlanAsk, Planner } from '../../src/app/plan/answer.ts'
import {
  beatS,
  firstChoices,
  type PlanChoices,
  requestOf,
  sourceOf,
  studyOf,
  usesOf,
  wantedOf,
} from '../../src/app/plan/choices.ts'
import { choicesOfCode, planCode } from '../../src/app/plan/link.ts'
import { fewestIn, heardIn, recordsSoFar, repeatsDone, withMethods } from '../../src/app/plan/records.ts'
import { whatIfProblem, withWhatIfs } from '../../src/app/plan/whatif.ts'
import { packed } from '../../src/app/run/link.ts'
import { instrumentById, knownInstruments } from '../../src/core/instruments/podium.ts'
import { defaultHand } from '../../src/core/plan/hand.ts'
import type { PlanRecords } from '../../src/core/plan/records.ts'
import { roomById } from '../../src/core/study/presets.ts'
import type { Outcome, Study } from '../../src/core/study/study.ts'
import { trialAt } from '../../src/core/study/trial.ts'
import { madeRecords } from './planparts.ts'

const changed: PlanChoices = {
  ...firstChoices,
  instrument: { ...instrumentById('ring-bass'), id: 'own-bass', title: 'My own' },
  room: {
    ...roomById('stage'),
    parts: [{ id: 'recorded', levelDb: 0, values: {}, recording: 'room-1' }],
    id: 'room-1',
  },
  snrsDb: [0, 10],
  snrDb: 0,
  methods: [
    { id: 'yin', values: { hop: 512 } },
    { id: 'mpm', values: {} },
  ],
  slowToo: true,
  repeats: 8,
  budgetS: 35,
  withinCents: 4.5,
  wantedChance: 0.9,
  bridge: 'floating',
  hand: { ...defaultHand, pluckS: 1.1, turnGainSd: 0.21 },
  measured: { hand: { turnGainSd: 0.21 }, intervals: { turnGainSd: [0.15, 0.3] }, n: 17 },
  work: { ...firstChoices.work, morePasses: 0 },
  offsetsKnown: true,
  seed: 7,
  whatIf: ['slower-hand'],
}

describe('a plan as a link', () => {
  it('is nothing for the first visit, and brings everything else back', async () => {
    expect(await planCode(firstChoices)).toBe('')
    expect(await choicesOfCode('')).toEqual(firstChoices)
    expect(await choicesOfCode(await planCode(changed))).toEqual(changed)
  })

  it.each([
    [{ budgetS: 0 }, 'budgetS: 0 is below 10 s'],
    [{ bridge: 'rubber' }, 'bridge: "rubber" is neither'],
    [{ hand: { pluckS: 9 } }, 'hand.pluckS: 9 is above 1.5 s'],
    [{ instrument: 'ring-harp' }, 'no instrument "ring-harp"'],
    [{ room: 'hall' }, 'no room "hall"'],
    [{ methods: ['ear'] }, 'ear'],
    [{ measured: { hand: {}, intervals: { pluckS: [1] }, n: 15 } }, 'measured.intervals.pluckS: is no interval'],
    [{ tempo: 1 }, 'tempo: no such choice'],
    [[], 'holds no plan'],
  ])('refuses %j', async (json, sentence) => {
    const problem = await choicesOfCode(await packed(json)).catch((cause) => cause)
    expect(`${problem.sentence}`).toContain(sentence)
  })
})

describe('choices', () => {
  it('record every string of the instrument, slow twins behind the chosen methods', () => {
    const study = studyOf(changed)
    expect(study.strings).toHaveLength(4)
    expect(study.methods.map(({ id, display }) => `${id} ${display?.averagingMs ?? 0}`)).toEqual([
      'yin 0',
      'mpm 0',
      'yin 600',
      'mpm 600',
    ])
    expect(heardIn(study, 2)).toEqual({ chosen: [0, 1], slow: [2, 3] })
    expect(heardIn(studyOf(firstChoices), firstChoices.methods.length).slow).toEqual([])
  })

  it('say of every figure of the hand where it comes from', () => {
    expect(sourceOf(changed, 'pluckS')).toBe('changed')
    expect(sourceOf(changed, 'turnGainSd')).toBe('measured')
    expect(sourceOf(changed, 'reactionS')).toBe('assumption')
  })

  it('offer what the player asks for beside the three uses, once', () => {
    for (const instrument of knownInstruments) {
      const cents = usesOf(instrument).map(({ withinCents }) => withinCents)
      expect(cents).toContain(instrument.toleranceCents)
      expect(new Set(cents).size).toBe(cents.length)
    }
  })

  it('two strings 2.62 c apart at 330 Hz beat every two seconds', () => {
    // First order: b = f (2^(c/1200) - 1), so 0.5 Hz at 330 Hz is 1200 log2(1 + 0.5/330) = 2.621 c.
    expect(beatS(1200 * Math.log2(1 + 0.5 / 330), 330)).toBeCloseTo(2, 9)
  })
})

/** Every method locks at 0.3 s, as far off as its place in the study says. */
function madeOutcomes(study: Study, repeats: number): Map<number, readonly Outcome[]> {
  const found = new Map<number, readonly Outcome[]>()
  const cells = study.strings.length * study.snrsDb.length
  for (let cell = 0; cell < cells; cell += 1) {
    for (let repeat = 0; repeat < repeats; repeat += 1) {
      const index = cell * study.repeats + repeat
      const trial = trialAt(study, index)
      const list = study.methods.map(
        (method, at) =>
          ({
            state: 'scored',
            trial,
            method,
            levels: null,
            score: { claim: 'true', lockS: 0.3, claimCents: at + repeat / 100, offsetCents: at },
          }) as unknown as Outcome,
      )
      found.set(index, list)
    }
  }
  return found
}

describe('records so far', () => {
  const study = studyOf({ ...firstChoices, repeats: 20 })

  it('stand on the repeats that are done everywhere, each in its own cell', () => {
    const outcomes = madeOutcomes(study, 6)
    outcomes.set(6, outcomes.get(5) as readonly Outcome[])
    expect(repeatsDone(study, outcomes)).toBe(6)
    const records = recordsSoFar(study, outcomes, firstChoices.instrument) as PlanRecords
    expect(fewestIn(records)).toBe(6)
    for (const cell of records.cells.flat()) {
      expect([...cell.errorCents.subarray(6, 12)].map((cents) => Number(cents.toFixed(2)))).toEqual([
        ...[1, 1.01, 1.02, 1.03, 1.04, 1.05],
      ])
    }
  })

  it('are none before the second', () => {
    expect(recordsSoFar(study, madeOutcomes(study, 1), firstChoices.instrument)).toBeNull()
  })

  it('of some methods are those and no others', () => {
    const records = recordsSoFar(study, madeOutcomes(study, 4), firstChoices.instrument) as PlanRecords
    const some = withMethods(records, [3, 1])
    expect(some.methods.map(({ id }) => id)).toEqual([records.methods[3]?.id, records.methods[1]?.id])
    expect([...(some.cells[0]?.[0]?.errorCents ?? [])].map(Math.floor)).toEqual([3, 3, 3, 3, 1, 1, 1, 1])
    expect([...(some.offsetsCents[0] ?? [])]).toEqual([3, 3, 3, 3, 1, 1, 1, 1])
  })
})

describe('what if', () => {
  const records = madeRecords(
    [
      { id: 'quick', lockS: 0.3, sdCents: 1.5 },
      { id: 'fine', lockS: 0.9, sdCents: 0.4 },
      { id: 'quick slow', lockS: 1.2, sdCents: 1.5 },
    ],
    { snrsDb: [5, 10, 15] },
  )
  const heard = { chosen: [0, 1], slow: [2] }
  const request = requestOf(firstChoices)
  let planner: Planner
  const ask = (change: Partial<PlanAsk> = {}): PlanAsk => ({
    ...{ records, recordsKey: 'made', heard, instrument: 'made', request, wanted: wantedOf(firstChoices), whatIf: [] },
    ...change,
  })
  beforeAll(() => {
    planner = new Planner()
  })

  it('says what the records do not hold instead of answering', () => {
    expect(whatIfProblem('quieter', { ...request, snrDb: 15 }, records, heard)).toContain('record 20 dB')
    expect(whatIfProblem('slow-display', request, records, { ...heard, slow: [] })).toContain('no slow display')
    expect(whatIfProblem('quieter', request, records, heard)).toBeNull()
  })

  it('lays one question over the other', () => {
    const both = withWhatIfs(['slow-display', 'no-second-pass', 'other-bridge'], request, records, heard)
    expect(both.request).toEqual({ ...request, bridge: 'floating', work: { ...request.work, morePasses: 0 } })
    expect(both.methods).toEqual([2])
  })

  it('a slower hand needs more time for the same, and the plan itself stays what it was', () => {
    const wanted = { ...wantedOf(firstChoices), withinCents: 6 }
    const base = planner.answer(ask({ wanted }))
    const slower = planner.answer(ask({ wanted, whatIf: ['slower-hand'] }))
    expect(slower?.base).toEqual(base?.base)
    // 1.15 s of find, pluck and react become 1.725 s on each of at least 18 plucks (two passes and the check of six strings).
    expect((slower?.changed?.told.neededS ?? 0) - (base?.base.told.neededS ?? Number.NaN)).toBeGreaterThan(18 * 0.575)
  })

  it('steps take the mean time together, and checking alone moves nothing', () => {
    const { base } = planner.answer(ask()) ?? {}
    const sum = base?.stepsS.reduce((total, stepS) => total + stepS, 0)
    expect(sum).toBeCloseTo(base?.told.timeMeanS.value ?? Number.NaN, 9)
    // Six strings, plucked and read once each: 6 (0.8 + 0.3 + 0.35) s.
    expect(base?.checkOnly.timeP90S).toBeCloseTo(8.7, 9)
  })

  it('the same link gives the same card', async () => {
    const wish: PlanChoices = { ...firstChoices, budgetS: 45, withinCents: 4, seed: 3, whatIf: ['quieter'] }
    const again = await choicesOfCode(await planCode(wish))
    const answerOf = (choices: PlanChoices) =>
      new Planner().answer(ask({ request: requestOf(choices), wanted: wantedOf(choices), whatIf: choices.whatIf }))
    expect(answerOf(again)).toEqual(answerOf(wish))
  })
})
