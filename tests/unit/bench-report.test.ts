/** The bench report's pure parts, by hand: threshold ratio, order and resumption of trials, the table in README.md. */
import { appendFileSync, mkdtempSync, readFileSync, rmSync } from 'node:fs'
import { tmpdir } from 'node:os'
import { dirname, join } from 'node:path'
import { fileURLToPath } from 'node:url'
import { afterEach, beforeEach, describe, expect, it } from 'vitest'
import { presetStudy } from '../../src/core/study/presets.ts'
import { trialCount } from '../../src/core/study/record.ts'
import { trialAt } from '../../src/core/study/trial.ts'
import type { CloseOutcome } from '../bench/report/closely.ts'
import { contestant } from '../bench/report/contestants.ts'
import { openJournal, partKey } from '../bench/report/journal.ts'
import { type Part, planOf } from '../bench/report/plan.ts'
import { begin, end, withTable } from '../bench/report/readme.ts'
import { leftOf, runningOrder } from '../bench/report/runparts.ts'
import { crossing, falling, type Pluck, thresholdOf } from '../bench/report/threshold.ts'
import { dbOf, msOf, percentOf } from '../bench/report/words.ts'

describe('threshold ratio', () => {
  it('makes shares fall: neighbours that rise become their mean', () => {
    expect(falling([0.9, 0.5, 0.1])).toEqual([0.9, 0.5, 0.1])
    expect(falling([0.5, 0.9, 0.1])).toEqual([0.7, 0.7, 0.1])
    // 0.75 lifts the pair before it, and the three become one.
    const [a, b, c] = falling([0.25, 0.5, 0.75])
    expect([a, b, c]).toEqual([0.5, 0.5, 0.5])
    expect(falling([])).toEqual([])
  })

  it('reads the crossing off a straight line', () => {
    // From 0.25 at 0 dB to 0 at 10 dB: 0.05 is four fifths of the way.
    expect(crossing([-10, 0, 10], [1, 0.25, 0])).toBeCloseTo(8, 12)
    expect(crossing([0, 10], [0.5, 0.05])).toBe(Number.POSITIVE_INFINITY)
    expect(crossing([0, 10], [0.04, 0])).toBe(Number.NEGATIVE_INFINITY)
  })

  const plucks = (...rows: readonly (readonly number[])[]): Pluck[] =>
    rows.map((shares, index) => ({ string: index % 2 === 0 ? 'E2' : 'E4', shares }))

  it('has no spread where all plucks agree, and leaves out ratios that nobody heard', () => {
    const row = [1, Number.NaN, 0.25, 0]
    const figure = thresholdOf([-10, -5, 0, 10], plucks(row, row, row, row), 1)
    expect(figure).toMatchObject({ n: 4 })
    expect([figure?.value, figure?.low, figure?.high].map((db) => Number(db?.toFixed(9)))).toEqual([8, 8, 8])
    expect(thresholdOf([0], [], 1)).toBeNull()
  })

  it('has an interval that holds its value, infinite where some draws never get there', () => {
    const rows = plucks([1, 0], [1, 0], [1, 0.18], [1, 0], [1, 0], [1, 0])
    const figure = thresholdOf([0, 10], rows, 7)
    // The mean at 10 dB is 0.03: under the limit, and over it once the bad pluck is drawn twice of six.
    expect(figure?.value).toBeCloseTo((10 * 0.95) / 0.97, 9)
    expect(figure?.low).toBeLessThan(figure?.value as number)
    expect(figure?.high).toBe(Number.POSITIVE_INFINITY)
    expect(thresholdOf([0, 10], rows, 7)).toEqual(figure)
  })
})

const part: Part = { id: 'small', title: '', closely: false, study: { ...presetStudy('first'), repeats: 3 } }
const outcome: CloseOutcome = {
  state: 'failed',
  trial: trialAt(part.study, 0),
  method: { id: 'yin', values: {} },
  problem: { what: 'x', where: 'y' },
}

describe('plan', () => {
  it('names no setting that its method does not have', () => {
    const choices = [true, false].flatMap((quick) => planOf(quick).flatMap(({ study }) => study.methods))
    expect(choices.length).toBeGreaterThan(100)
    const unknown = choices.flatMap(({ id, values }) =>
      Object.keys(values).flatMap((name) => (name in contestant(id).fields ? [] : [`${id}.${name}`])),
    )
    expect(unknown).toEqual([])
  })
})

describe('running and resuming', () => {
  let folder = ''
  beforeEach(() => {
    folder = mkdtempSync(join(tmpdir(), 'bench-'))
  })
  afterEach(() => rmSync(folder, { recursive: true }))

  it('goes repeat by repeat, every trial once', () => {
    const order = runningOrder(part.study)
    expect(new Set(order).size).toBe(trialCount(part.study))
    const repeats = order.map((index) => trialAt(part.study, index).repeat)
    expect(repeats).toEqual(repeats.toSorted())
    // All ratios of one pluck stand in a row.
    expect(order.slice(0, 3).map((index) => trialAt(part.study, index))).toMatchObject([
      { string: 'E2', snrDb: 0 },
      { string: 'E2', snrDb: 10 },
      { string: 'E2', snrDb: 20 },
    ])
  })

  it('goes on after a torn line, with NaN where null stands', () => {
    const path = join(folder, 'small')
    const journal = openJournal(path)
    const score = { readings: 3, offsetCents: Number.NaN, claim: 'none' }
    const scored = { ...outcome, state: 'scored', score, levels: null } as unknown as CloseOutcome
    journal.add(4, [scored])
    journal.add(0, [outcome])
    appendFileSync(`${path}.jsonl`, '[1,[{"state"')
    const again = openJournal(path)
    expect([...again.trials]).toEqual([...journal.trials])
    expect(again.trials.get(4)).toMatchObject([{ score: { readings: 3, offsetCents: Number.NaN, claim: 'none' } }])
    expect(leftOf({ part, journal: again })).toEqual(
      runningOrder(part.study).filter((index) => index !== 0 && index !== 4),
    )
    again.add(1, [outcome])
    expect([...openJournal(path).trials.keys()]).toEqual([4, 0, 1])
    expect(readFileSync(`${path}.jsonl`, 'utf8').split('\n')).toHaveLength(4)
  })

  it('finds nothing under another plan or other sources', () => {
    const key = partKey(part, 'a')
    expect(partKey(part, 'a')).toBe(key)
    expect(partKey(part, 'b')).not.toBe(key)
    expect(partKey({ ...part, study: { ...part.study, seed: 2 } }, 'a')).not.toBe(key)
    expect(partKey({ ...part, title: 'told otherwise' }, 'a')).toBe(key)
  })
})

describe('words and table', () => {
  it('say what lies beyond', () => {
    const figure = { value: -6.34, low: Number.NEGATIVE_INFINITY, high: -5, n: 9 }
    expect(dbOf(figure, [-10, 20])).toBe('-6.3 (< -10 to -5)')
    expect(dbOf({ ...figure, value: Number.NEGATIVE_INFINITY, high: Number.NEGATIVE_INFINITY }, [-10, 20])).toBe(
      '< -10',
    )
    expect(dbOf(null)).toBe('–')
    expect(msOf({ value: 0.0254, low: 0.02, high: Number.POSITIVE_INFINITY, n: 9 })).toBe('25 ms (20 to never)')
    expect(msOf({ value: 0.0254, low: Number.NaN, high: Number.NaN, n: 1 })).toBe('25 ms')
    expect(percentOf({ value: 0.5, low: 0.25, high: 0.75, n: 8 })).toBe('50 % (25 to 75), n = 8')
  })

  it('changes README.md between its two comments only', () => {
    const readme = `before\n${begin}\nold\n${end}\nafter`
    const once = withTable(readme, 'new')
    expect(once).toBe(`before\n${begin}\n\nnew\n\n${end}\nafter`)
    expect(withTable(once, 'new')).toBe(once)
    expect(() => withTable('no comments', 'new')).toThrow('README.md')
  })

  it('has its place in the README.md there is', () => {
    const path = join(dirname(fileURLToPath(import.meta.url)), '../../README.md')
    expect(withTable(readFileSync(path, 'utf8'), 'new')).toContain('new')
  })
})
