/** Holds worked by hand: readings every 20 ms, hold 0.1 s (so gaps up to 33 ms and five readings at least), span 6 c. */
import { describe, expect, it } from 'vitest'
import { hzFromCents } from '../../src/core/maths/units.ts'
import type { Reading } from '../../src/core/methods/method.ts'
import { firstHold, settledFrom } from '../../src/core/score/claim.ts'

const rate = 1000
const settings = { spanCents: 6, holdS: 0.1, tolCents: 5 }

/** One reading each `everyS`, the first at `everyS`; null declines. */
function track(cents: readonly (number | null)[], everyS = 0.02, startS = everyS): Reading[] {
  return cents.map((value, i) => {
    const toSample = Math.round((startS + i * everyS) * rate)
    const f0Hz = value === null ? Number.NaN : hzFromCents(value, 110)
    return { fromSample: toSample - 10, toSample, atSample: toSample - 5, f0Hz, confidence: 1, spreadCents: Number.NaN }
  })
}

describe('first hold', () => {
  it('is not before the hold has passed since the start of the take', () => {
    // Five readings that agree are there at 0.05 s, but t < H.
    expect(firstHold(track(Array(20).fill(0), 0.01), rate, settings)?.lockS).toBe(0.1)
  })

  it('takes both ends of the hold', () => {
    // At t = 0.12 s the hold is [0.02, 0.12]: readings 0..5. The one at 0.02 s is 10 c off, so it is not steady until 0.14 s.
    const hold = firstHold(track([10, 0, 0, 0, 0, 0, 0, 0]), rate, settings)
    expect(hold).toEqual({ first: 1, last: 6, lockS: 0.14 })
  })

  it('allows exactly the span and no more', () => {
    // Not exactly 6 c after the round trip through Hz: half a thousandth of a cent to either side.
    const steady = (cents: number) => firstHold(track([0, cents, 0, cents, 0, cents]), rate, settings) !== null
    expect(steady(5.9995)).toBe(true)
    expect(steady(6.0005)).toBe(false)
  })

  it('is broken by a declined reading until that has left the hold', () => {
    // Declined at 0.08 s: the first hold without it is [0.10, 0.20].
    const hold = firstHold(track([0, 0, 0, null, 0, 0, 0, 0, 0, 0, 0]), rate, settings)
    expect(hold?.lockS).toBe(0.2)
  })

  it('is broken by a gap of more than a third of the hold', () => {
    const gapped = (gapS: number) => [...track([0, 0, 0]), ...track([0, 0, 0, 0, 0, 0, 0], 0.02, 0.06 + gapS)]
    // 33 ms is within H / 3 = 33.3 ms: steady at the first reading past 0.1 s. 34 ms is not: the reading
    // before the gap, at 0.06 s, must have left, and five must have come since: 0.094 ... 0.174 s.
    expect(firstHold(gapped(0.033), rate, settings)?.lockS).toBeCloseTo(0.113, 12)
    expect(firstHold(gapped(0.034), rate, settings)?.lockS).toBeCloseTo(0.174, 12)
  })

  it('needs five readings', () => {
    // Every 33 ms: four fit into 0.1 s. Every 25 ms: five, at 0.025 ... 0.125 s.
    expect(firstHold(track(Array(30).fill(0), 0.033), rate, settings)).toBeNull()
    expect(firstHold(track(Array(30).fill(0), 0.025), rate, settings)?.lockS).toBe(0.125)
  })

  it('never comes while readings move', () => {
    expect(firstHold(track(Array.from({ length: 100 }, (_, i) => 2 * i)), rate, settings)).toBeNull()
    expect(firstHold([], rate, settings)).toBeNull()
    expect(firstHold(track(Array(50).fill(null)), rate, settings)).toBeNull()
  })
})

describe('settled from', () => {
  const from = (cents: readonly (number | null)[], fromS = 0, everyS = 0.02) =>
    settledFrom(track(cents, everyS), rate, fromS, 110, 5, settings.holdS)

  it('is the first reading of the run that lasts for the hold', () => {
    expect(from([20, 8, 4, 3, 2, 1, 0, 0, 0])).toBe(0.06)
    expect(from([20, 8, 4, 3, 2, 1, 0])).toBeNaN()
  })

  it('starts anew after a reading outside or declined', () => {
    expect(from([0, 0, 0, 9, 0, 0, 0, 0, 0, 0])).toBe(0.1)
    expect(from([0, 0, 0, null, 0, 0, 0, 0, 0, 0])).toBe(0.1)
  })

  it('does not look before the onset', () => {
    expect(from(Array(20).fill(0), 0.11)).toBe(0.12)
  })

  it('needs five readings', () => {
    expect(from(Array(20).fill(0), 0, 0.033)).toBe(0.033)
    expect(from(Array(20).fill(0), 0, 0.05)).toBeNaN()
  })
})
