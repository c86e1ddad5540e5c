import { describe, expect, it } from 'vitest'
import { countsAsTurn, fewestPairs, fitHand, type TurnPair } from '../../src/core/plan/handfit.ts'
import { Problem } from '../../src/core/problem.ts'

const perDegree = 1.5

/** Meant cents and moved cents; readings without spread of their own. */
const pair = (meant: number, moved: number, change: Partial<TurnPair> = {}): TurnPair => ({
  beforeCents: -meant,
  afterCents: moved - meant,
  reactionS: 0.4,
  turnS: 0.3 + moved / perDegree / 50,
  centsPerDegree: perDegree,
  spreadCents: 0,
  ...change,
})

const sixteen = (movedOf: (meant: number, sign: number) => number): TurnPair[] =>
  Array.from({ length: 16 }, (_, i) => {
    const meant = [2, 4, 10, 20, 30, 40, 60, 80][i % 8]
    return pair(meant, movedOf(meant, i < 8 ? 1 : -1))
  })

describe('a hand out of pairs', () => {
  it('turns off by a fifth of what was meant, either way: all of it is gain', () => {
    const { figures, gain, n } = fitHand(
      sixteen((meant, sign) => meant * (1 + 0.2 * sign)),
      1,
    )
    expect(n).toBe(16)
    expect(figures.turnGainSd?.value).toBeCloseTo(0.2, 9)
    expect(figures.pegStepDeg?.value).toBeCloseTo(0, 9)
    // Half of them at 1.2, half at 0.8.
    expect(gain.value).toBeCloseTo(1, 9)
  })

  it('turns off by three cents whatever was meant: all of it is the rest of the peg, two degrees here', () => {
    const { figures } = fitHand(
      sixteen((meant, sign) => meant + 3 * sign),
      1,
    )
    expect(figures.turnGainSd?.value).toBeCloseTo(0, 9)
    expect(figures.pegStepDeg?.value).toBeCloseTo(2, 9)
  })

  it("what the readings' own spread explains is not laid to the hand", () => {
    // Two readings of 3 / sqrt 2 c each: a variance of 9 square cents, all that there is.
    const pairs = sixteen((meant, sign) => meant + 3 * sign).map((one) => ({ ...one, spreadCents: 3 / Math.SQRT2 }))
    const { figures } = fitHand(pairs, 1)
    expect(figures.turnGainSd?.value).toBeCloseTo(0, 6)
    expect(figures.pegStepDeg?.value).toBeCloseTo(0, 6)
  })

  it('times: the median reaction, start and speed off the line', () => {
    const { figures, hand } = fitHand(
      sixteen((meant) => meant),
      1,
    )
    expect(figures.reactionS).toEqual({ value: 0.4, low: 0.4, high: 0.4, n: 16 })
    expect(figures.turnStartS?.value).toBeCloseTo(0.3, 9)
    expect(figures.turnDegPerS?.value).toBeCloseTo(50, 9)
    expect(hand.turnDegPerS).toBeCloseTo(50, 9)
  })

  it('an intention that was stated stands in place of the note', () => {
    const pairs = sixteen((meant, sign) => meant * (1 + 0.2 * sign)).map((one) => ({
      ...one,
      // The string was to come up by as much as it did.
      intendedCents: one.afterCents - one.beforeCents,
    }))
    expect(fitHand(pairs, 1).figures.turnGainSd?.value).toBeCloseTo(0, 9)
  })

  it('a hand outside of what a plan takes is brought to its limit, the figure is told as it is', () => {
    const { figures, hand } = fitHand(
      sixteen((meant, sign) => meant * (1 + 0.6 * sign)),
      1,
    )
    expect(figures.turnGainSd?.value).toBeCloseTo(0.6, 9)
    expect(hand.turnGainSd).toBe(0.4)
  })

  it('is refused for fewer than fifteen turns from flat: turns down do not count, nor readings that are missing', () => {
    const turns = sixteen((meant) => meant)
    expect(() => fitHand(turns.slice(0, fewestPairs - 1), 1)).toThrow(Problem)
    const down = turns.map((one, i) => (i < 2 ? { ...one, beforeCents: 20, afterCents: 0 } : one))
    expect(() => fitHand(down, 1)).toThrow('14 turns from flat')
    expect(countsAsTurn({ ...turns[0], afterCents: Number.NaN })).toBe(false)
  })

  it('what was seen too seldom is not told, and stays out of the hand', () => {
    const pairs = sixteen((meant) => meant).map((one, i) => (i < 5 ? { ...one, turnS: Number.NaN } : one))
    const { figures, hand } = fitHand(pairs, 1)
    expect(figures.turnDegPerS).toBeNull()
    expect(Object.keys(hand)).toEqual(['turnGainSd', 'pegStepDeg', 'reactionS'])
  })
})
