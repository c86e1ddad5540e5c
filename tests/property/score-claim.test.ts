/** The rule of the hold, against its own words spelt out slowly, on random tracks. */
import fc from 'fast-check'
import { describe, expect, it } from 'vitest'
import { hzFromCents } from '../../src/core/maths/units.ts'
import type { Reading } from '../../src/core/methods/method.ts'
import { firstHold } from '../../src/core/score/claim.ts'
import type { ClaimSettings } from '../../src/core/score/score.ts'

/** Fixed, and printed by fast-check when something fails. */
const seed = 20250302
const rate = 48000

const claimSettings = fc.record({
  spanCents: fc.constantFrom(2.1, 6.1, 20.1),
  holdS: fc.constantFrom(0.1, 0.25),
  tolCents: fc.constant(5),
})
/** Steps of 1 to 60 ms in whole samples, mostly 10 ms; cents in quarters and spans between them, so that no span is met by a hair; some declined. */
const tracks = fc
  .array(
    fc.record({
      step: fc.oneof(
        { weight: 30, arbitrary: fc.constant(480) },
        { weight: 1, arbitrary: fc.integer({ min: 48, max: 2880 }) },
      ),
      cents: fc.oneof(
        { weight: 40, arbitrary: fc.integer({ min: -6, max: 6 }).map((quarter) => quarter / 4 + 0.1) },
        { weight: 1, arbitrary: fc.integer({ min: -100, max: 100 }).map((cents) => cents + 0.1) },
        { weight: 1, arbitrary: fc.constant(Number.NaN) },
      ),
    }),
    { minLength: 10, maxLength: 120, size: 'max' },
  )
  .map((steps): Reading[] => {
    let toSample = 0
    return steps.map(({ step, cents }) => {
      toSample += step
      const f0Hz = hzFromCents(cents, 110)
      return { fromSample: toSample - 480, toSample, atSample: toSample, f0Hz, confidence: 1, spreadCents: Number.NaN }
    })
  })

/** Whole samples and hundredths of a cent: exact where the rule is exact. */
function lockByTheWords(readings: readonly Reading[], { spanCents, holdS }: ClaimSettings): number | null {
  const hold = Math.round(holdS * rate)
  for (const { toSample: t } of readings) {
    if (t < hold) continue
    const held = readings.filter((reading) => reading.toSample >= t - hold && reading.toSample <= t)
    if (held.length < 5) continue
    if (held.some((reading) => Number.isNaN(reading.f0Hz))) continue
    const gaps = held.slice(1).map((reading, i) => reading.toSample - (held[i] as Reading).toSample)
    if (gaps.some((gap) => 3 * gap > hold)) continue
    const cents = held.map((reading) => Math.round(120_000 * Math.log2(reading.f0Hz / 110)))
    if (Math.max(...cents) - Math.min(...cents) <= 100 * spanCents) return t / rate
  }
  return null
}

describe('first hold', () => {
  it('does what the words say', () => {
    let locked = 0
    fc.assert(
      fc.property(tracks, claimSettings, (readings, settings) => {
        const expected = lockByTheWords(readings, settings)
        if (expected !== null) locked++
        expect(firstHold(readings, rate, settings)?.lockS ?? null).toBe(expected)
      }),
      { seed, numRuns: 500 },
    )
    // Both answers must have come up often, or nothing was tried.
    expect(locked).toBeGreaterThan(50)
    expect(locked).toBeLessThan(450)
  })

  it('is final: what comes later does not change it', () => {
    fc.assert(
      fc.property(tracks, tracks, claimSettings, (readings, more, settings) => {
        const hold = firstHold(readings, rate, settings)
        fc.pre(hold !== null)
        const end = readings.at(-1)?.toSample ?? 0
        const later = more.map((reading) => ({ ...reading, toSample: reading.toSample + end }))
        expect(firstHold([...readings, ...later], rate, settings)).toEqual(hold)
      }),
      { seed, numRuns: 200 },
    )
  })

  it('is never later with a wider span', () => {
    fc.assert(
      fc.property(tracks, claimSettings, (readings, settings) => {
        const hold = firstHold(readings, rate, settings)
        fc.pre(hold !== null)
        const wider = firstHold(readings, rate, { ...settings, spanCents: 2 * settings.spanCents })
        expect(wider?.lockS).toBeLessThanOrEqual(hold?.lockS ?? Number.NaN)
      }),
      { seed, numRuns: 200 },
    )
  })
})
