/** What the bench page computes before it draws: figures in words, scales, nearest-neighbour moves, "holds down to", reuse. */
import { describe, expect, it } from 'vitest'
import {
  type BenchCell,
  type Cells,
  columnsOf,
  neighbour,
  trialsMissing,
  trusted,
} from '../../src/app/bench/columns.ts'
import {
  centsWithInterval,
  duration,
  listed,
  plainNumber,
  rateInterval,
  signedDb,
  withInterval,
} from '../../src/app/bench/figures.ts'
import { holdOf } from '../../src/app/bench/holds.ts'
import { errorLimits, logY, ratioLimits, rimPx, spread, timeLimits } from '../../src/app/bench/scales.ts'
import { failureWords, tellingTrial } from '../../src/app/bench/telling.ts'
import { orderedTrials, reusable } from '../../src/app/run/reuse.ts'
import { wilson } from '../../src/core/maths/statistics.ts'
import type { Figure } from '../../src/core/score/summary.ts'
import { presetStudy } from '../../src/core/study/presets.ts'
import type { Outcome, Study } from '../../src/core/study/study.ts'
import { trialAt } from '../../src/core/study/trial.ts'

const figure = (value: number, low = Number.NaN, high = Number.NaN, n = 8): Figure => ({ value, low, high, n })

describe('figures in words', () => {
  it('writes a true minus and as many places as the size deserves', () => {
    expect([0.834, -7.62, 26.18, -123.4, Number.NaN].map(plainNumber)).toEqual([
      '0.83',
      '−7.6',
      '26.2',
      '−123',
      'no value',
    ])
    expect([-5, 0, 10].map(signedDb)).toEqual(['−5', '0', '+10'])
  })

  it('gives both ends of an interval the places of the value', () => {
    expect(centsWithInterval(figure(0.83, 0.6, 1.1), ' c')).toBe('0.83 c (0.60 to 1.10)')
  })

  it('writes the value alone without an interval, and a word for no value', () => {
    expect(withInterval(figure(2), String, ' s')).toBe('2 s')
    expect(withInterval(null, String, '', 'under half lock')).toBe('under half lock')
  })

  it('writes the interval of a rate in percent', () => {
    // Wilson's interval of 2 in 10: 0.057 to 0.510, by hand from its formula.
    expect(rateInterval(wilson(2, 10))).toBe('6 to 51\u00a0%')
    expect(rateInterval(wilson(0, 0))).toBe('')
    expect(rateInterval(null)).toBe('')
  })

  it('speaks of time left and of lists as people do', () => {
    expect([8.2, 70, 3720].map(duration)).toEqual(['8 s', '1 min 10 s', '1 h 2 min'])
    expect(listed(['E2', 'G3', 'E4'])).toBe('E2, G3 and E4')
  })
})

describe('scales', () => {
  it('puts the limits of a log axis on its rims and clamps what is beyond, 0 included', () => {
    const limits = { low: 0.1, high: 100 }
    expect([100, 0.1, 1e6, 0].map((value) => logY(value, limits, 100))).toEqual([
      rimPx,
      100 - rimPx,
      rimPx,
      100 - rimPx,
    ])
    // Three decades: 10 is a third down.
    expect(logY(10, limits, 100)).toBeCloseTo(rimPx + (100 - 2 * rimPx) / 3, 9)
  })

  it('goes two decades under a tenth only when a figure is there', () => {
    expect(errorLimits([0.5, 40]).low).toBe(0.1)
    expect(errorLimits([0.02, 40]).low).toBe(0.01)
  })

  it('reaches as far as the take', () => {
    expect(timeLimits([0.2], 1)).toEqual({ low: 0.05, high: 2 })
    expect(timeLimits([0.02], 4)).toEqual({ low: 0.01, high: 5 })
  })

  it('leaves half a step at both ends, and 5 dB for a single ratio', () => {
    expect(ratioLimits([0, 10, 20])).toEqual({ low: -5, high: 25 })
    expect(ratioLimits([10])).toEqual({ low: 5, high: 15 })
  })

  it('pushes labels apart in their order and keeps them inside', () => {
    expect(spread([50, 48, 99], 10, 100)).toEqual([58, 48, 99])
    expect(spread([99, 99], 10, 100)).toEqual([90, 100])
  })
})

const study: Study = { ...presetStudy('first'), snrsDb: [20, 0, 10] }
const column = { string: 'E2', room: 'white', title: 'E2' }

/** Only the true rate matters here. */
const cellsWith = (rates: Readonly<Record<number, Figure>>): Cells => ({
  at: (_string, _room, snrDb) => ({ n: 8, trueRate: rates[snrDb] ?? null }) as unknown as BenchCell,
})

describe('holds down to', () => {
  it('is the lowest ratio with 95 % true claims there and at every ratio above', () => {
    const cells = cellsWith({ 0: figure(1, 0.68, 1), 10: figure(0.5, 0.2, 0.8), 20: figure(1, 0.68, 1) })
    const hold = holdOf(study, cells, column, 'yin')
    expect([hold.snrDb, hold.lowDb]).toEqual([20, 20])
  })

  it('is open upwards while the lower ends stay under 95 %, and closed once they do not', () => {
    const few = holdOf(
      study,
      cellsWith({ 0: figure(0.9, 0.5, 0.97), 10: figure(1, 0.68, 1), 20: figure(1, 0.68, 1) }),
      column,
      'yin',
    )
    expect([few.lowDb, few.snrDb, few.highDb]).toEqual([0, 10, Number.NaN])
    const many = holdOf(
      study,
      cellsWith({ 0: figure(0.4, 0.3, 0.5), 10: figure(0.97, 0.9, 0.99), 20: figure(1, 0.96, 1) }),
      column,
      'yin',
    )
    expect([many.lowDb, many.snrDb, many.highDb]).toEqual([10, 10, 20])
  })

  it('is no number when even the highest ratio fails', () => {
    expect(holdOf(study, cellsWith({ 20: figure(0.5, 0.2, 0.8) }), column, 'yin').snrDb).toBeNaN()
  })
})

describe('columns and points', () => {
  it('shows strings side by side in one room, rooms otherwise', () => {
    expect(columnsOf(presetStudy('first'), 'E2').map((one) => one.title)).toEqual(['all strings', 'E2', 'E4'])
    expect(columnsOf(presetStudy('quick'), 'G3').map((one) => one.title)).toEqual(['white', 'stage'])
  })

  it('moves along rising ratios and stays at the ends', () => {
    const columns = columnsOf(study, '')
    const at = { string: 'E2', room: 'white', snrDb: 10, method: 'yin' }
    expect(neighbour(study, columns, ['yin', 'mpm'], at, { ratio: 1 })?.snrDb).toBe(20)
    expect(neighbour(study, columns, ['yin', 'mpm'], { ...at, snrDb: 20 }, { ratio: 1 })?.snrDb).toBe(20)
    expect(neighbour(study, columns, ['yin', 'mpm'], at, { column: 1 })?.string).toBe('E4')
    expect(neighbour(study, columns, [], at, { ratio: 1 })).toBeNull()
  })

  it('asks for six trials, and for four of each string when strings are pooled', () => {
    expect([5, 6].map((trials) => trialsMissing(trials, 1))).toEqual([1, 0])
    expect([6, 8, 23].map((trials) => trialsMissing(trials, 2))).toEqual([2, 0, 0])
    expect(trialsMissing(6, 6)).toBe(18)
  })

  it('takes the interval from a cell that lacks trials', () => {
    const cell = (lacking: number): BenchCell => ({ lacking }) as unknown as BenchCell
    expect(trusted(cell(1), figure(1, 0.5, 2))?.low).toBeNaN()
    expect(trusted(cell(0), figure(1, 0.5, 2))?.low).toBe(0.5)
  })
})

const outcome = (of: Study, index: number, method: string, claim: string, claimCents: number): Outcome =>
  ({
    state: 'scored',
    trial: trialAt(of, index),
    method: of.methods.find(({ id }) => id === method),
    score: { claim, claimCents, medianAbsCents: 1 },
  }) as unknown as Outcome

describe('trials', () => {
  it('runs repeats everywhere in turn', () => {
    const order = orderedTrials(study, new Map([[0, null]]))
    const cells = study.strings.length * study.snrsDb.length
    expect(order).toHaveLength(cells * study.repeats - 1)
    expect(order.slice(0, cells - 1).every((index) => index % study.repeats === 0)).toBe(true)
  })

  it('keeps what another study has in common: more repeats, fewer methods', () => {
    const all = (of: Study): Outcome[] => of.methods.map(({ id }) => outcome(of, 1, id, 'true', 0))
    const done = new Map([[1, all(study)]])
    const wider = { ...study, repeats: 6, methods: study.methods.slice(1) }
    const kept = reusable(wider, study, done)
    expect([...kept.keys()]).toEqual([1])
    expect(kept.get(1)?.map(({ method }) => method.id)).toEqual(wider.methods.map(({ id }) => id))
    expect(reusable({ ...study, seed: 2 }, study, done).size).toBe(0)
    expect(reusable({ ...study, methods: [...study.methods, { id: 'acf', values: {} }] }, study, done).size).toBe(0)
  })

  it('opens the trial with the widest false claim first', () => {
    const outcomes = new Map([
      [0, [outcome(study, 0, 'yin', 'true', 4)]],
      [1, [outcome(study, 1, 'yin', 'room', 9)]],
      [2, [outcome(study, 2, 'yin', 'structural', 6)]],
    ])
    const point = { string: 'E2', room: 'white', snrDb: 20, method: 'yin' }
    expect(tellingTrial(outcomes, point)).toBe(1)
    expect(tellingTrial(outcomes, point, 'first')).toBe(0)
    expect(tellingTrial(outcomes, { ...point, snrDb: 0 })).toBeNull()
  })

  it('counts failures and names the first', () => {
    const failed = {
      ...outcome(study, 3, 'mpm', '', 0),
      state: 'failed',
      problem: { what: 'window is too short', where: '' },
    }
    const outcomes = new Map([[3, [outcome(study, 3, 'yin', 'true', 0), failed as unknown as Outcome]]])
    expect(failureWords(outcomes)).toBe(
      '1 outcome failed, counted in no figure; the first: mpm on E2: window is too short.',
    )
    expect(failureWords(new Map())).toBeNull()
  })
})
