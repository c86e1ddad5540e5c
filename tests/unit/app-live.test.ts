/** What a person is told of live methods: states, words, and how far methods differ; worked by hand. */
import { describe, expect, it } from 'vitest'
import {
  besideAnother,
  differenceWords,
  insideWords,
  type RowTold,
  rowTold,
  stateWords,
  written,
} from '../../src/app/live/rows.ts'
import { hzFromCents } from '../../src/core/maths/units.ts'
import type { LiveRow } from '../../src/host/liveview.ts'

const targetHz = 110
const row = (lastCents: readonly number[], change: Partial<LiveRow> = {}): LiveRow => {
  const lastHz = Float64Array.from({ length: 5 }, (_, i) => hzFromCents(lastCents[i] ?? Number.NaN, targetHz))
  return {
    count: lastCents.length,
    missed: 0,
    f0Hz: lastHz[0] ?? Number.NaN,
    confidence: 1,
    spreadCents: 0.5,
    toS: 3,
    lastHz,
    steadySinceS: Number.NaN,
    claim: null,
    ...change,
  }
}
const told = (lastCents: readonly number[], change: Partial<LiveRow> = {}): RowTold =>
  rowTold(row(lastCents, change), targetHz, 3)
const steady = (cents: number): RowTold => told([cents, cents], { steadySinceS: 2.6 })

describe('a live row in words', () => {
  it('tells steady, moving, declined and not yet there apart', () => {
    expect(stateWords(steady(-1.8))).toBe('steady since 0.4 s')
    expect(stateWords(told([-10, 13]))).toBe('moving, spans 23 c')
    expect(stateWords(told([1, 2.5]))).toBe('moving, spans 1.5 c')
    expect(stateWords(told([1]))).toBe('moving')
    expect(stateWords(told([Number.NaN, 2]))).toBe('declines')
    expect(stateWords(told([]))).toBe('no reading yet')
    expect(told([-1.8]).whiskerCents).toBe(1)
  })

  it('is inside only while it is steady, whatever it claimed before', () => {
    expect(insideWords(steady(-1.8), 3)).toBe('inside ±3, flat')
    expect(insideWords(steady(4), 3)).toBe('outside ±3, sharp')
    expect(insideWords(steady(0.01), 3)).toBe('inside ±3, on the note')
    const turned = told([20, 8], { claim: { f0Hz: targetHz, lockS: 1 } })
    expect(insideWords(turned, 3)).toBe('no steady reading')
    expect([turned.inside, turned.claimCents]).toEqual([false, 0])
  })

  it('puts back what an aimed method reads of another note, and no claim of any is one', () => {
    const claim = { f0Hz: targetHz, lockS: 1 }
    const own = told([0.4, 0.4], { steadySinceS: 2.6, claim })
    expect(own.inside).toBe(true)
    const back = besideAnother(own, true)
    expect([back.state, back.inside, back.claimCents, back.cents]).toEqual(['another', false, null, own.cents])
    expect([stateWords(back), insideWords(back, 3)]).toEqual(['another note', 'not this string'])
    const row = { title: 'A', told: back }
    expect(differenceWords([row, { title: 'B', told: steady(1200) }])).toBe('')
    expect(besideAnother(own, false)).toEqual({ ...own, claimCents: null })
    expect(besideAnother(told([Number.NaN]), true).state).toBe('declines')
  })

  it('writes cents with a true minus, and nothing without a sign', () => {
    expect([-1.84, 0.06, -0.04, 123.4, -864.2, Number.NaN].map(written)).toEqual([
      '−1.8',
      '+0.1',
      '0.0',
      '+123',
      '−864',
      '—',
    ])
  })

  it('says how far steady methods differ, and of the others nothing', () => {
    const rows = [
      { title: 'A', told: steady(-1.8) },
      { title: 'B', told: steady(0.1) },
      { title: 'C', told: told([30, 10]) },
    ]
    expect(differenceWords(rows)).toBe('Methods differ by 1.9 c: A reads lowest, B highest.')
    expect(differenceWords(rows.slice(1))).toBe('')
    expect(differenceWords([rows[0] ?? { title: '', told: steady(0) }, { title: 'D', told: steady(-1.75) }])).toBe(
      'The 2 steady methods say the same.',
    )
  })
})
