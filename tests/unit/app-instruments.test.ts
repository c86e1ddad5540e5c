/** The logic of the Instruments page without a browser: history, the list, files, fields and sentences. */
import { describe, expect, it } from 'vitest'
import { axisOf } from '../../src/app/instruments/axis.ts'
import { begun, type History, mostSteps, recorded, redone, settled, undone } from '../../src/app/instruments/history.ts'
import { numberText, readNumber, refusal } from '../../src/app/instruments/reading.ts'
import { textOfInstruments } from '../../src/app/instruments/saveFile.ts'
import { pullSentence, signedPercent, stringsSentence, told, written } from '../../src/app/instruments/sentences.ts'
import { attempt, changed, changesWord, fittingSets, gaugesWord, noChanges } from '../../src/app/instruments/setup.ts'
import {
  added,
  blank,
  duplicated,
  freeId,
  instrumentsOfFile,
  missingDemo,
  removed,
  takenIn,
} from '../../src/app/instruments/shelf.ts'
import { compareSetups } from '../../src/core/instruments/compare.ts'
import { instrumentFields } from '../../src/core/instruments/instrument.ts'
import { instrumentById, knownInstruments } from '../../src/core/instruments/podium.ts'
import { reckoned } from '../../src/core/instruments/reckoning.ts'
import { Problem } from '../../src/core/problem.ts'

const times = <T>(count: number, from: T, step: (value: T, at: number) => T): T =>
  Array.from({ length: count }).reduce<T>((value, _, at) => step(value, at), from)

/** The sentence of the Problem that `run` throws. */
function sentenceOf(run: () => unknown): string {
  try {
    run()
  } catch (cause) {
    if (cause instanceof Problem) return cause.sentence
    throw cause
  }
  return 'nothing was thrown'
}

describe('history', () => {
  const grown = (count: number): History<number> =>
    times(count, begun(0), (history, at) => recorded(history, at + 1, `step ${at + 1}`))

  it('takes back sixty steps and does them again', () => {
    const back = times(60, grown(60), undone)
    expect(back.present.value).toBe(0)
    expect(undone(back)).toBe(back)
    expect(times(60, back, redone)).toMatchObject({ present: { value: 60, what: 'step 60' }, future: [] })
  })

  it('forgets the oldest steps only', () => {
    const back = times(mostSteps, grown(mostSteps + 5), undone)
    expect(back.present.value).toBe(5)
    expect(undone(back)).toBe(back)
  })

  it('drops what was undone when something else is done', () => {
    const other = recorded(undone(grown(3)), 9, 'other')
    expect(redone(other)).toBe(other)
    expect(undone(other).present.value).toBe(2)
  })

  it('joins changes under one key until it is settled', () => {
    const typed = times(3, begun(''), (history) => recorded(history, `${history.present.value}a`, 'name', 'title'))
    expect(typed.past).toHaveLength(1)
    const more = recorded(settled(typed), 'aaab', 'name', 'title')
    expect(undone(more).present.value).toBe('aaa')
    expect(undone(undone(more)).present.value).toBe('')
    // After an undo the same key starts a step of its own.
    expect(undone(recorded(undone(more), 'b', 'name', 'title')).present.value).toBe('aaa')
  })
})

describe('the list', () => {
  it('never gives an id twice, nor one of the demo', () => {
    expect(freeId([], 'mine')).toBe('mine')
    expect(freeId([], 'ring-lead')).toBe('ring-lead-2')
    const thrice = times(3, knownInstruments, (shelf) => duplicated(shelf, 'ring-lead')?.shelf ?? [])
    expect(new Set(thrice.map(({ id }) => id)).size).toBe(knownInstruments.length + 3)
    expect(new Set(thrice.map(({ title }) => title)).size).toBe(knownInstruments.length + 3)
    expect(duplicated(knownInstruments, 'nobody')).toBeNull()
  })

  it('puts a copy right behind its original, alike but for name and id', () => {
    const copy = duplicated(knownInstruments, 'ring-lead')
    const at = knownInstruments.findIndex(({ id }) => id === 'ring-lead')
    expect(copy?.shelf[at + 1]).toBe(copy?.made)
    expect({ ...copy?.made, id: 'ring-lead', title: 'Lead electric' }).toEqual(knownInstruments[at])
  })

  it('knows what of the demo is gone', () => {
    expect(missingDemo(removed(knownInstruments, 'ring-bass')).map(({ id }) => id)).toEqual(['ring-bass'])
  })

  it('comes back from its own file', () => {
    const { shelf } = added(knownInstruments, blank, '')
    expect(instrumentsOfFile(textOfInstruments(shelf), 'own.json')).toEqual(shelf)
  })

  it('takes a file in behind what is there and overwrites nothing', () => {
    const own = added([], { ...blank, title: 'Mine' }, '').shelf
    const other = { ...blank, title: 'Mine', scaleMm: 600 }
    const taken = takenIn(own, [...own, other, { ...blank, id: 'third' }])
    expect(taken).toMatchObject({ added: 2, known: 1 })
    expect(taken.shelf[0]).toBe(own[0])
    expect(taken.shelf.map(({ id }) => id)).toEqual(['own-1', 'own-2', 'third'])
    expect(taken.shelf[1]).toMatchObject({ title: 'Mine, from file', scaleMm: 600 })
  })

  it.each([
    ['', 'van.json: the file is empty'],
    ['{"schema":1,', /^van\.json: is no JSON/],
    ['{"schema":2,"instruments":[]}', /^van\.json: schema: /],
    [
      '{"schema":1,"instruments":[{"id":"a","kind":"electric","gauges":"10-46","tuning":"standard","scaleMm":2000}]}',
      'van.json: instruments.0.scaleMm: 2000 is above 1100 mm',
    ],
  ])('refuses the file %s with its name, place and limit', (text, sentence) => {
    expect(sentenceOf(() => instrumentsOfFile(text, 'van.json'))).toMatch(sentence)
  })
})

describe('fields', () => {
  const field = instrumentFields.referenceHz

  it('reads a decimal comma, a true minus and spaces', () => {
    expect(readNumber(' 442,5 ', field)).toBe(442.5)
    expect(sentenceOf(() => readNumber('−1', field))).toBe('-1 is below 400 Hz')
  })

  it.each([
    ['', 'nothing is written; it takes 400 to 480 Hz'],
    ['concert', '"concert" is not a number; it takes 400 to 480 Hz'],
    ['399.9', '399.9 is below 400 Hz'],
    ['1e3', '1000 is above 480 Hz'],
    ['440 Hz', '"440 Hz" is not a number; it takes 400 to 480 Hz'],
  ])('refuses "%s"', (text, sentence) => {
    expect(sentenceOf(() => readNumber(text, field))).toBe(sentence)
  })

  it('says field, value, limit and what stays', () => {
    const problem = new Problem('500 is above 480 Hz', '')
    expect(refusal('Reference pitch', problem, '440 Hz')).toBe('Reference pitch: 500 is above 480 Hz. 440 Hz stays.')
  })

  it('shows a number without places that are not there', () => {
    expect(numberText(0.1 + 0.2)).toBe('0.3')
    expect(numberText(0.0115)).toBe('0.0115')
  })
})

describe('set-ups', () => {
  const lead = instrumentById('ring-lead')

  it('names gauges by thinnest and thickest string', () => {
    expect(gaugesWord('11-52')).toBe('11–52')
    expect(gaugesWord('nylon-28-44')).toBe('28–44')
    expect(gaugesWord(instrumentById('ring-slide').gauges)).toBe('own 13–52')
  })

  it('offers sets with as many strings of the same stuff', () => {
    expect(fittingSets(lead).map(({ id }) => id)).toEqual(['9-42', '10-46', '11-52', '12-53'])
    expect(fittingSets(instrumentById('tightrope-nylon')).map(({ id }) => id)).toEqual(['nylon-28-44'])
  })

  it('changes gauges and moves strings without touching the instrument', () => {
    const before = structuredClone(lead)
    const to = changed(lead, { ...noChanges, gauges: '12-53', semitones: -1 })
    expect(to).toMatchObject({ gauges: '12-53', tuning: ['D#4', 'A#3', 'F#3', 'C#3', 'G#2', 'D#2'] })
    expect(lead).toEqual(before)
    expect(changesWord({ ...noChanges, gauges: '12-53', semitones: -1 })).toBe('12–53, half a step down')
  })

  it('says why a set-up cannot be', () => {
    expect(attempt(() => changed(lead, { ...noChanges, gauges: 'bass-45-105' }))).toEqual({
      problem: 'tuning: 6 notes do not fit 4 strings',
    })
  })
})

describe('sentences', () => {
  const standard = { ...blank, kind: 'acoustic', gauges: '11-52' } as const

  it('half a step down takes 10.9 % of tension and gives 12.2 % a degree of peg', () => {
    // T goes with the square of the pitch, which moves by 2^(-1/12); cents a degree go with 1/T.
    const ratio = 2 ** (-1 / 6)
    const view = compareSetups(standard, changed(standard, { ...noChanges, semitones: -1 }))
    const percent = [100 * (ratio - 1), 100 * (1 / ratio - 1)].map((value) => signedPercent(value))
    expect(percent).toEqual(['−10.9\u00a0%', '+12.2\u00a0%'])
    expect(stringsSentence(view)).toBe(
      `Tension of every string: ${percent[0]}. Cents for a degree of peg: ${percent[1]}, so pegs are coarser.`,
    )
    expect(pullSentence(view)).toContain(`(${percent[0]})`)
  })

  it('gives a range where strings differ', () => {
    // The first string grows by (12/11)^2; 32 and 42 are in both sets.
    const view = compareSetups(standard, changed(standard, { ...noChanges, gauges: '12-53' }))
    expect(signedPercent(100 * ((12 / 11) ** 2 - 1))).toBe('+19.0\u00a0%')
    expect(stringsSentence(view)).toMatch(/^Tension, string by string: 0\u00a0% to \+19\.0\u00a0%\. /)
  })

  it('writes signs, estimates and gaps as they are', () => {
    expect(written(-1.46, 1)).toBe('−1.5')
    expect(written(-0.04, 1)).toBe('0.0')
    expect(written(Number.NaN, 1)).toBe('not known')
    expect(told(reckoned(72.61), 1)).toBe('72.6')
    expect(told(reckoned(72.61, 'something'), 1)).toBe('≈72.6')
    expect(told(reckoned(Number.NaN, 'something'), 1)).toBe('not known')
    expect(signedPercent(-0.04)).toBe('0\u00a0%')
  })
})

describe('axes', () => {
  it.each([[[62, 86]], [[0.54, 1.7]], [[-4.7, -1.5]], [[100, 100]], [[0, 0]]])(
    'of %s hold the values and two to three round ticks',
    (values) => {
      const { low, high, ticks } = axisOf(values, 3)
      expect(low).toBeLessThan(Math.min(...values))
      expect(high).toBeGreaterThan(Math.max(...values))
      expect(ticks.length).toBeGreaterThan(0)
      expect(ticks.length).toBeLessThanOrEqual(3)
      for (const tick of ticks) expect(tick >= low && tick <= high).toBe(true)
    },
  )

  it('reach what must be seen, and stay empty without values', () => {
    expect(axisOf([20, 54], 3, [0, 93]).high).toBeGreaterThan(93)
    expect(axisOf([Number.NaN], 3).ticks).toEqual([])
  })
})
