/** Scores of tracks worked by hand: 100 readings a second, onset at 0.5 s, truth 110 Hz. */
import { describe, expect, it } from 'vitest'
import { hzFromCents } from '../../src/core/maths/units.ts'
import type { Reading } from '../../src/core/methods/method.ts'
import type { Truth } from '../../src/core/scene/scene.ts'
import type { Bound } from '../../src/core/score/bound.ts'
import { type ScoreInput, scoreReadings } from '../../src/core/score/score.ts'

const sampleRateHz = 1000
const truth: Truth = { onsetS: 0.5, settledHz: 110, track: [] }
const settings = { spanCents: 6, holdS: 0.25, tolCents: 5 }
/** Frequencies went through Hz and back: one part in 2^52 is 4e-13 c. */
const digits = 9

/** One reading every 10 ms from 10 ms on, each of the last 50 ms; `cents` of its time, NaN declines. */
function heard(cents: (timeS: number) => number, lengthS = 2): Reading[] {
  return Array.from({ length: Math.round(lengthS * 100) }, (_, i) => {
    const toSample = 10 * (i + 1)
    const f0Hz = hzFromCents(cents(toSample / sampleRateHz), 110)
    return {
      fromSample: toSample - 50,
      toSample,
      atSample: toSample - 25,
      f0Hz,
      confidence: 1,
      spreadCents: Number.NaN,
    }
  })
}

const score = (readings: readonly Reading[], more: Partial<ScoreInput> = {}) =>
  scoreReadings({ readings, sampleRateHz, truth, twin: null, settings, ...more })

const afterOnset = (cents: number) => (timeS: number) => (timeS < 0.5 ? Number.NaN : cents)

describe('errors', () => {
  it('speak of readings whose evidence lies wholly in the first second', () => {
    // Evidence [t - 0.05, t] inside [0.5, 1.5]: t = 0.55 ... 1.50, 96 readings.
    expect(score(heard(() => 0)).readings).toBe(96)
  })

  it('part missing, gross, octave and fine', () => {
    // 96 readings: 6 declined (0.55-0.60), 10 an octave down, 10 a fifth up, 10 at +50 c (gross: the limit is strict), 60 at +2 c.
    const cents = (t: number) =>
      t < 0.605 ? Number.NaN : t < 0.705 ? -1203 : t < 0.805 ? 702 : t < 0.905 ? 50.0001 : 2
    const result = score(heard(cents), { twin: heard(() => 1) })
    expect(result).toMatchObject({ readings: 96, missing: 6, gross: 30, octave: 10 })
    expect(result.medianCents).toBeCloseTo(2, digits)
    expect(result.medianAbsCents).toBeCloseTo(2, digits)
    expect(result.offsetCents).toBeCloseTo(1, digits)
    expect(result.noiseErrorCents).toBeCloseTo(1, digits)
    expect(result.noiseRmsCents).toBeCloseTo(1, digits)
  })

  it('do not count 49.9999 c as gross', () => {
    expect(score(heard(() => 49.9999)).gross).toBe(0)
  })

  it('are taken from the offset of the quiet twin', () => {
    // +-3 c about an offset of 7 c: root mean square 3, median of 7 + (-3, 3, ...) is 7 for 96 readings.
    const noisy = heard((t) => 7 + (Math.round(t * 100) % 2 === 0 ? 3 : -3))
    const result = score(noisy, { twin: heard(() => 7) })
    expect(result.noiseRmsCents).toBeCloseTo(3, digits)
    expect(result.noiseErrorCents).toBeCloseTo(0, digits)
    expect(result.medianAbsCents).toBeCloseTo(7, digits)
  })

  it('have no offset without a twin', () => {
    const result = score(heard(() => 3))
    expect([result.offsetCents, result.noiseErrorCents, result.noiseRmsCents]).toEqual([
      Number.NaN,
      Number.NaN,
      Number.NaN,
    ])
    expect(result.medianCents).toBeCloseTo(3, digits)
  })

  it('are gross against the truth at the time, fine against the settled truth', () => {
    // The string starts 60 c sharp until 1.0 s; the method follows it exactly. Then nothing is gross, and errors are 60 or 0 c.
    const gliding: Truth = {
      ...truth,
      track: [
        { timeS: 0.5, f0Hz: hzFromCents(60, 110) },
        { timeS: 1, f0Hz: 110 },
      ],
    }
    const result = score(
      heard((t) => (t < 0.995 ? 60 : 0)),
      { truth: gliding },
    )
    expect(result.gross).toBe(0)
    // 45 readings (0.55 ... 0.99) at 60 c, 51 at 0.
    expect(result.medianAbsCents).toBeCloseTo(0, digits)
    expect(
      score(
        heard(() => 0),
        { truth: gliding },
      ).gross,
    ).toBe(45)
  })

  it('take the bound over each fine reading, in time from the onset', () => {
    const asked: [number, number][] = []
    const bound: Bound = {
      sdCents: (fromS, toS) => {
        asked.push([fromS, toS])
        return asked.length === 1 ? 2 : 1
      },
      lockS: (tolCents) => tolCents / 100,
    }
    // Fine are the first two of 96.
    const result = score(
      heard((t) => (t < 0.565 ? 0 : 400)),
      { bound },
    )
    expect(asked).toHaveLength(2)
    expect(asked[0]?.[0]).toBeCloseTo(0, 12)
    expect(asked[0]?.[1]).toBeCloseTo(0.05, 12)
    expect(result.boundRmsCents).toBeCloseTo(Math.sqrt(2.5), 12)
    expect(result.boundLockS).toBe(0.05)
  })

  it('tell nothing where nothing was read', () => {
    const result = score(heard(() => Number.NaN))
    expect(result).toMatchObject({ readings: 96, missing: 96, gross: 0, octave: 0, claim: 'none' })
    for (const key of [
      'medianCents',
      'medianAbsCents',
      'lockS',
      'firstSteadyS',
      'claimCents',
      'within5S',
      'boundLockS',
    ] as const) {
      expect(result[key], key).toBeNaN()
    }
    expect(score([])).toMatchObject({ readings: 0, missing: 0, claim: 'none' })
  })
})

describe('claims', () => {
  it('are true within the tolerance of the truth', () => {
    // First answered reading at 0.50 s; the hold is complete at 0.75 s, 0.25 s after the onset. The one at 0.49 s is declined.
    const result = score(heard(afterOnset(4.9)))
    expect(result.claim).toBe('true')
    expect(result.lockS).toBeCloseTo(0.25, 12)
    expect(result.firstSteadyS).toBeCloseTo(0, 12)
    expect(result.claimCents).toBeCloseTo(4.9, digits)
  })

  it('are structural when the quiet twin is wrong as well, else the room is to blame', () => {
    const wrong = heard(afterOnset(5.1))
    expect(score(wrong, { twin: wrong }).claim).toBe('structural')
    expect(score(wrong, { twin: heard(afterOnset(-1200)) }).claim).toBe('structural')
    expect(score(wrong, { twin: heard(afterOnset(4)) }).claim).toBe('room')
    expect(score(wrong, { twin: heard(() => Number.NaN) }).claim).toBe('room')
    expect(score(wrong).claim).toBe('room')
  })

  it('are premature when the hold is complete before the onset, and final', () => {
    // Steady from the first reading on, at the right pitch even: complete at 0.25 s, a quarter second before the onset.
    const result = score(heard(() => 0))
    expect(result.claim).toBe('premature')
    expect(result.lockS).toBeCloseTo(-0.25 + 0.01 - 0.01, 12)
    expect(result.firstSteadyS).toBeCloseTo(-0.5, 12)
  })

  it('are the median of the hold', () => {
    // 26 readings in the hold: 14 at +3, 12 at -3.
    const result = score(heard((t) => (t < 0.495 ? Number.NaN : t < 0.615 ? -3 : 3)))
    expect(result.claimCents).toBeCloseTo(3, digits)
  })

  it('are false for another string and without a string', () => {
    expect(score(heard(afterOnset(0)), { alwaysFalse: true }).claim).toBe('room')
    expect(score(heard(afterOnset(0)), { alwaysFalse: true, twin: heard(afterOnset(0)) }).claim).toBe('structural')
    const silent = score(heard(afterOnset(0)), { noString: true })
    expect(silent).toMatchObject({ readings: 96, missing: 0, claim: 'room' })
    for (const key of ['gross', 'medianCents', 'within5S', 'within1S', 'boundLockS'] as const) {
      expect(silent[key], key).toBeNaN()
    }
  })

  it('come with the moments from which readings stay close', () => {
    // From 0.60 s within 5 c, from 0.80 s within 1 c, onset 0.5 s.
    const result = score(heard((t) => (t < 0.595 ? 40 : t < 0.795 ? 4 : 0.5)))
    expect(result.within5S).toBeCloseTo(0.1, 12)
    expect(result.within1S).toBeCloseTo(0.3, 12)
  })
})
