/** What holds for any outcomes: swapping the two methods changes signs only, and the order of outcomes changes nothing. */
import fc from 'fast-check'
import { describe, expect, it } from 'vitest'
import { type PairedFigure, pairedDifferences, placesOf } from '../../src/core/score/paired.ts'
import type { Score } from '../../src/core/score/score.ts'
import type { Outcome } from '../../src/core/study/study.ts'

const seed = 20261125

const scoreOf = fc.record({
  medianAbsCents: fc.oneof(fc.double({ min: 0, max: 3000, noNaN: true }), fc.constant(Number.NaN)),
  lockS: fc.double({ min: 0.25, max: 2, noNaN: true }),
  claim: fc.constantFrom('true' as const, 'room' as const, 'none' as const),
})
const outcomesOf = fc.array(fc.tuple(scoreOf, scoreOf), { minLength: 1, maxLength: 14 }).map((pairs) =>
  pairs.flatMap((pair, index) =>
    ['yin', 'mpm'].map(
      (id, at): Outcome => ({
        state: 'scored',
        trial: { index, string: index % 3 === 0 ? 'E2' : 'E4', room: 'white', snrDb: 0, repeat: index },
        method: { id, values: {} },
        score: pair[at] as unknown as Score,
        levels: null,
      }),
    ),
  ),
)
const figures = fc.constantFrom<PairedFigure[]>('error', 'lock')
const compare = (outcomes: readonly Outcome[], reference: string, other: string, figure: PairedFigure) =>
  pairedDifferences({ outcomes, reference, others: [other], figure, heardS: 2, seed: 3 })[0]

describe('paired differences', () => {
  it('change their sign and nothing else when the reference is the other one', () => {
    fc.assert(
      fc.property(outcomesOf, figures, (outcomes, figure) => {
        const there = compare(outcomes, 'yin', 'mpm', figure)
        const back = compare(outcomes, 'mpm', 'yin', figure)
        if (there === undefined || back === undefined) throw new Error('no comparison')
        // Interpolated quantiles of values up to 50 (or 2): a few units in the last place.
        const rounding = 1e-12 * 50
        for (const [a, b] of [
          [there.difference.value, back.difference.value],
          [there.difference.low, back.difference.high],
          [there.difference.high, back.difference.low],
        ] as const) {
          expect(Number.isNaN(a)).toBe(Number.isNaN(b))
          if (!Number.isNaN(a)) expect(Math.abs(a + b)).toBeLessThanOrEqual(rounding)
        }
        expect(back.p).toBe(there.p)
        expect([back.lower, back.higher, back.equal]).toEqual([there.higher, there.lower, there.equal])
        expect([back.withoutOther, back.withoutReference]).toEqual([there.withoutReference, there.withoutOther])
        expect(there.difference.n).toBe(there.lower + there.higher + there.equal)
      }),
      { seed, numRuns: 60 },
    )
  })

  it('and places are the same whatever order the outcomes come in', () => {
    const right = (outcome: Extract<Outcome, { state: 'scored' }>): boolean => outcome.score.claim === 'true'
    fc.assert(
      fc.property(
        outcomesOf.chain((outcomes) =>
          fc.tuple(
            fc.constant(outcomes),
            fc.shuffledSubarray(outcomes, { minLength: outcomes.length, maxLength: outcomes.length }),
          ),
        ),
        figures,
        ([outcomes, shuffled], figure) => {
          expect(compare(shuffled, 'yin', 'mpm', figure)).toEqual(compare(outcomes, 'yin', 'mpm', figure))
          expect(placesOf(shuffled, ['yin', 'mpm'], right)).toEqual(placesOf(outcomes, ['yin', 'mpm'], right))
        },
      ),
      { seed, numRuns: 60 },
    )
  })
})
