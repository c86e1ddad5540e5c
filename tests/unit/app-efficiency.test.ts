/** What lies under the bound gets a letter and a cause; nothing else does. */
import { describe, expect, it } from 'vitest'
import type { BenchCell } from '../../src/app/bench/columns.ts'
import { causesOf, ratioOf } from '../../src/app/bench/efficiency.ts'

const prior = 'the readings know more than their own evidence tells: the note in hand (aimed methods), earlier readings'
const cell = (boundNote: string | null, lacking = 0): BenchCell =>
  ({ boundNote, lacking, boundRatio: { value: 0.8, low: 0.7, high: 0.9, n: 8 } }) as unknown as BenchCell

describe('causes under the bound', () => {
  it('tell blind from aimed, and gather ratios and methods of one cause', () => {
    const causes = causesOf([0, 10], ['yin', 'mpm', 'partial-fit'], () => cell(prior))
    expect(causes.map(({ letter, where }) => [letter, where])).toEqual([
      ['a', 'yin at 0 and +10 dB and mpm at 0 and +10 dB'],
      ['b', 'partial-fit at 0 and +10 dB'],
    ])
    expect(causes.map(({ words }) => words.includes('note in hand'))).toEqual([false, true])
  })

  it('keep what the core says of trimmed deviations', () => {
    expect(causesOf([0], ['yin'], () => cell('errors of 50 c and more are left out'))[0]?.words).toBe(
      'errors of 50 c and more are left out',
    )
  })

  it('are not looked for where nothing is under it or trials are too few', () => {
    expect(causesOf([0], ['yin'], () => cell(null))).toEqual([])
    expect(causesOf([0], ['yin'], () => cell(prior, 2))).toEqual([])
    expect(causesOf([0], ['yin'], () => undefined)).toEqual([])
  })

  it('leave a figure without interval while trials are too few', () => {
    expect(ratioOf(cell(null, 2))?.low).toBeNaN()
    expect(ratioOf(cell(null))?.low).toBe(0.7)
    expect(ratioOf(undefined)).toBeNull()
  })
})
