/** Paired comparisons, by hand: known differences, ties, pairs without a value, places. */
import { describe, expect, it } from 'vitest'
import { signFlip } from '../../src/core/maths/statistics.ts'
import { exactP, type PairedFigure, pairedDifferences, placesOf } from '../../src/core/score/paired.ts'
import type { Score } from '../../src/core/score/score.ts'
import type { Outcome } from '../../src/core/study/study.ts'

function scored(index: number, method: string, score: Partial<Score>): Outcome {
  return {
    state: 'scored',
    trial: { index, string: index % 2 === 0 ? 'E2' : 'E4', room: 'white', snrDb: 10, repeat: index },
    method: { id: method, values: {} },
    score: { claim: 'true', lockS: 0.5, medianAbsCents: 1, ...score } as Score,
    levels: null,
  }
}

const many = (method: string, scores: readonly Partial<Score>[]): Outcome[] =>
  scores.map((score, index) => scored(index, method, score))
const errors = (method: string, cents: readonly number[]): Outcome[] =>
  many(
    method,
    cents.map((medianAbsCents) => ({ medianAbsCents })),
  )
const compare = (outcomes: readonly Outcome[], figure: PairedFigure = 'error', others = ['mpm']) =>
  pairedDifferences({ outcomes, reference: 'yin', others, figure, heardS: 2, seed: 1 })

describe('paired differences', () => {
  it('find a difference that is the same in every trial, however much the trials differ', () => {
    const yin = [1, 30, 5, 12, 2, 40, 9, 20]
    const mpm = yin.map((cents) => cents + 2)
    const [found] = compare([...errors('yin', yin), ...errors('mpm', mpm)])
    expect(found?.difference).toEqual({ value: 2, low: 2, high: 2, n: 8 })
    // All eight of one sign: two of the 2^8 patterns are as far from 0.
    expect(found?.p).toBe(2 / 256)
    expect([found?.mean, found?.lower, found?.higher, found?.equal]).toEqual([2, 0, 8, 0])
  })

  it('tell nothing apart where all pairs are equal', () => {
    const [found] = compare([...errors('yin', [1, 2, 3]), ...errors('mpm', [1, 2, 3])])
    expect([found?.difference.value, found?.p, found?.equal]).toEqual([0, 1, 3])
  })

  it('count another note as 50 c, whether it is an octave or three', () => {
    const [found] = compare([...errors('yin', [0, 0]), ...errors('mpm', [1200, 3600])])
    expect(found?.difference.value).toBe(50)
  })

  it('leave out trials in which either has no reading, and count them apart', () => {
    const none = Number.NaN
    const [found] = compare([...errors('yin', [1, none, none, 1]), ...errors('mpm', [3, 3, none, none])])
    expect(found?.difference.n).toBe(1)
    expect(found?.difference.value).toBe(2)
    expect([found?.withoutReference, found?.withoutBoth, found?.withoutOther]).toEqual([1, 1, 1])
  })

  it('read null as no value, as a saved run has it', () => {
    const outcomes = [scored(0, 'yin', {}), scored(0, 'mpm', { medianAbsCents: null as unknown as number })]
    expect(compare(outcomes)[0]).toMatchObject({ withoutOther: 1, difference: { n: 0 } })
  })

  it('let a false claim and none count as the end of the take', () => {
    const yin = many('yin', [{ lockS: 0.5 }, { lockS: 0.5 }, { claim: 'none', lockS: Number.NaN }])
    const mpm = many('mpm', [
      { claim: 'room', lockS: 0.3 },
      { claim: 'none', lockS: Number.NaN },
      { claim: 'none', lockS: Number.NaN },
    ])
    const [found] = compare([...yin, ...mpm], 'lock')
    expect(found?.difference.n).toBe(3)
    expect(found?.difference.value).toBe(1.5)
    expect([found?.higher, found?.equal, found?.withoutOther, found?.withoutBoth]).toEqual([2, 1, 2, 1])
  })

  it('correct for the number of methods compared', () => {
    const yin = [1, 30, 5, 12, 2, 40, 9, 20]
    const outcomes = [
      ...errors('yin', yin),
      ...errors(
        'mpm',
        yin.map((cents) => cents + 2),
      ),
      ...errors('acf', yin),
    ]
    const [mpm, acf] = compare(outcomes, 'error', ['yin', 'mpm', 'acf'])
    expect([mpm?.method, mpm?.p, acf?.method, acf?.p]).toEqual(['mpm', 4 / 256, 'acf', 1])
  })

  it('pair by trial, not by place in the list, and pass over trials that one of both lacks', () => {
    const outcomes = [scored(3, 'mpm', { medianAbsCents: 9 }), scored(3, 'yin', {}), scored(4, 'yin', {})]
    expect(compare(outcomes)[0]?.difference).toMatchObject({ value: 8, n: 1 })
  })

  it('say nothing without a pair', () => {
    expect(compare([scored(0, 'yin', {})])[0]).toMatchObject({ p: Number.NaN, difference: { n: 0 } })
    expect(compare([])[0]?.p).toBeNaN()
  })
})

describe('places', () => {
  const claims = (method: string, pattern: string): Outcome[] =>
    many(
      method,
      [...pattern].map((letter) => ({ claim: letter === 't' ? 'true' : 'none' })),
    )
  const right = (outcome: Extract<Outcome, { state: 'scored' }>): boolean => outcome.score.claim === 'true'

  it('go to the method with the most right trials, and whoever cannot be told from it shares the first', () => {
    const outcomes = [...claims('yin', 'tttttttttt'), ...claims('mpm', 'ttttttttt.'), ...claims('acf', '..........')]
    const places = placesOf(outcomes, ['acf', 'mpm', 'yin'], right)
    expect(places.map(({ method, right: count, tied }) => [method, count, tied])).toEqual([
      ['yin', 10, true],
      ['mpm', 9, true],
      ['acf', 0, false],
    ])
    // Ten of ten patterns of one sign, 2 of 1024, and two methods compared with the first.
    expect(places[2]?.p).toBeCloseTo((2 * 2) / 1024, 12)
    expect(places[0]?.p).toBeNaN()
  })

  it('tie all while there are too few trials to tell any apart', () => {
    const places = placesOf([...claims('yin', 'tttt'), ...claims('mpm', '....')], ['yin', 'mpm'], right)
    expect(places.every(({ tied }) => tied)).toBe(true)
  })

  it('place nobody who was not heard', () => {
    expect(placesOf([], ['yin'], right)).toEqual([
      { method: 'yin', right: 0, n: 0, onlyHere: 0, onlyFirst: 0, p: Number.NaN, tied: false },
    ])
    expect(placesOf([], [], right)).toEqual([])
  })
})

describe('the exact test', () => {
  it('is the sign-flip test of differences of one', () => {
    for (const [a, b] of [
      [0, 0],
      [1, 0],
      [3, 3],
      [7, 1],
      [2, 10],
    ] as const) {
      const differences = [...new Array(a).fill(1), ...new Array(b).fill(-1)]
      const p = differences.length === 0 ? 1 : signFlip(differences, 1)
      expect(exactP(a, b), `${a} against ${b}`).toBeCloseTo(p, 12)
    }
  })

  it('holds where weights are beyond float64', () => {
    // 1100 of 2000: z = 100 / sqrt(500) = 4.472; with the continuity correction 4.450, two-sided 8.6e-6 (normal tail).
    expect(exactP(1100, 900)).toBeGreaterThan(7e-6)
    expect(exactP(1100, 900)).toBeLessThan(1e-5)
  })
})
