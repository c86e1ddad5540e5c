/** Comparisons in words, and what counts as right where no true claim can be. */
import { describe, expect, it } from 'vitest'
import { groupOf } from '../../src/app/bench/families.ts'
import {
  differenceWords,
  pWords,
  sharedPlaceWords,
  verdictWords,
  withoutWords,
} from '../../src/app/bench/pairedWords.ts'
import { isRight } from '../../src/app/run/tally.ts'
import type { PairedDifference, Place } from '../../src/core/score/paired.ts'

const place = (method: string, tied: boolean, n = 24): Place => ({
  method,
  right: 9,
  n,
  onlyHere: 0,
  onlyFirst: 0,
  p: 0.5,
  tied,
})
const difference = (change: Partial<PairedDifference>): PairedDifference => ({
  method: 'mpm',
  difference: { value: -1.25, low: -2, high: -0.5, n: 24 },
  mean: -1.5,
  p: 0.004,
  lower: 20,
  higher: 4,
  equal: 0,
  withoutOther: 0,
  withoutReference: 0,
  withoutBoth: 0,
  ...change,
})

describe('places in words', () => {
  it('say who shares the first, or that one stands alone', () => {
    expect(sharedPlaceWords([place('yin', true), place('mpm', true), place('acf', false)])).toBe(
      'yin and mpm share the first place: the same 24 trials cannot tell them apart (Holm, 5 %).',
    )
    expect(sharedPlaceWords([place('yin', true), place('mpm', true)])).toMatch(/^Both share/)
    expect(sharedPlaceWords([place('yin', true), place('mpm', false)])).toBe(
      'yin is first: told from every other in the same 24 trials (Holm, 5 %).',
    )
  })

  it('say nothing of one alone or before there is a trial', () => {
    expect(sharedPlaceWords([place('yin', true)])).toBe('')
    expect(sharedPlaceWords([place('yin', false, 0), place('mpm', false, 0)])).toBe('')
  })
})

describe('differences in words', () => {
  it('carry sign, unit and interval, and the way they point', () => {
    expect(differenceWords(difference({}), 'error')).toBe('−1.3 c (−2.0 to −0.50)')
    expect(differenceWords(difference({}), 'lock')).toBe('−1.25 s (−2.00 to −0.50)')
    expect(verdictWords(difference({}), 'error')).toBe('closer: mean −1.5 c, p 0.004')
    expect(verdictWords(difference({}), 'lock')).toBe('sooner: mean −1.50 s, p 0.004')
    expect(verdictWords(difference({ p: 0.05 }), 'lock')).toBe('not told apart: mean −1.50 s, p 0.050')
  })

  it('take the way from the mean, whatever the median is', () => {
    const half = { value: 0, low: 0, high: 1, n: 24 }
    expect(verdictWords(difference({ difference: half, mean: 0.2 }), 'lock')).toBe('later: mean +0.20 s, p 0.004')
  })

  it('say what pairs without a value did', () => {
    expect(withoutWords(difference({}), 'yin', 'lock')).toBe('')
    expect(withoutWords(difference({ withoutOther: 3, withoutBoth: 2 }), 'yin', 'lock')).toBe(
      'no true claim: 3 mpm only, 2 both',
    )
    expect(withoutWords(difference({ withoutReference: 1 }), 'yin', 'error')).toBe('no reading: 1 yin only')
  })

  it('never write a p as 0', () => {
    expect([0.00001, 0.0421, 0.5, Number.NaN].map(pWords)).toEqual(['p under 0.001', 'p 0.042', 'p 0.50', 'no p'])
  })
})

describe('what is right', () => {
  it('is a true claim, or none where no true one can be', () => {
    expect(isRight('true', 'string', 'blind')).toBe(true)
    expect(isRight('none', 'string', 'blind')).toBe(false)
    expect(isRight('none', 'no-string', 'blind')).toBe(true)
    expect(isRight('none', 'wrong-string', 'aimed')).toBe(true)
    expect(isRight('none', 'wrong-string', 'blind')).toBe(false)
    expect(isRight('room', 'no-string', 'aimed')).toBe(false)
  })

  it('is asked of families apart, and code that others wrote is known as such', () => {
    expect(['partial-fit', 'yin', 'pitchy', 'pitchfinder-yin'].map(groupOf)).toEqual([
      'aimed',
      'blind',
      'outside',
      'outside',
    ])
  })
})
