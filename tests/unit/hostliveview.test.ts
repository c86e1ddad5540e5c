import fc from 'fast-check'
import { describe, expect, it } from 'vitest'
import { median } from '../../src/core/maths/statistics.ts'
import { hzFromCents } from '../../src/core/maths/units.ts'
import type { Reading } from '../../src/core/methods/method.ts'
import { firstHold } from '../../src/core/score/claim.ts'
import { ReadingsReader, ReadingsWriter, readingsBytes } from '../../src/host/livereadings.ts'
import { LiveView } from '../../src/host/liveview.ts'

const rateHz = 48_000
const claim = { spanCents: 6, holdS: 0.25, tolCents: 5 }
const seed = 20_261_125

const reading = (toSample: number, cents: number): Reading => ({
  fromSample: toSample - 4096,
  toSample,
  atSample: toSample - 2048,
  f0Hz: hzFromCents(cents, 110),
  confidence: 0.9,
  spreadCents: 1,
})

function view(slots = 1) {
  const memory = new ArrayBuffer(readingsBytes(slots))
  return {
    writer: new ReadingsWriter(memory, slots),
    view: new LiveView(new ReadingsReader(memory, slots), rateHz, claim),
  }
}

describe('live view', () => {
  it('shows the newest reading and the last five, newest first', () => {
    const made = view(2)
    expect(made.view.update()).toBe(false)
    for (let i = 0; i < 7; i++) made.writer.write(1, reading(4096 + 512 * i, i === 5 ? Number.NaN : i), 0)
    expect(made.view.update()).toBe(true)
    const row = made.view.rows[1]
    expect(row).toMatchObject({ count: 7, missed: 0, confidence: 0.9, spreadCents: 1, toS: (4096 + 3072) / rateHz })
    expect([...row.lastHz]).toEqual([6, Number.NaN, 4, 3, 2].map((cents) => hzFromCents(cents, 110)))
    expect(made.view.rows[0].count).toBe(0)
  })

  it('is steady from when readings stopped moving, until they move; the first claim is final until a new take', () => {
    const made = view()
    // A second of stillness at 0 c, then one reading 20 c off, then stillness at 20 c.
    const at = (i: number) => 512 * (i + 8)
    for (let i = 0; i < 94; i++) made.writer.write(0, reading(at(i), 0), 0)
    made.view.update()
    const [row] = made.view.rows
    // Hold complete at the first reading at or after 0.25 s: sample 12288, 0.256 s; less the hold 0.006 s.
    expect(row.steadySinceS).toBeCloseTo(12_288 / rateHz - 0.25, 9)
    expect(row.claim).toEqual({ f0Hz: 110, lockS: 12_288 / rateHz })
    made.writer.write(0, reading(at(94), 20), 0)
    made.view.update()
    expect(row.steadySinceS).toBeNaN()
    for (let i = 95; i < 140; i++) made.writer.write(0, reading(at(i), 20), 0)
    made.view.update()
    // The last reading at 0 c is number 93, at 51712: it leaves the hold with the reading at 64000.
    expect(row.steadySinceS).toBeCloseTo((at(93) + 12_000 + 288) / rateHz - 0.25, 9)
    expect(row.claim?.lockS).toBe(12_288 / rateHz)
    made.view.restart(at(140))
    expect(row.claim).toBeNull()
    for (let i = 140; i < 200; i++) made.writer.write(0, reading(at(i), 20), 0)
    made.view.update()
    expect(row.claim?.f0Hz).toBeCloseTo(hzFromCents(20, 110), 9)
    expect(row.claim?.lockS).toBeCloseTo((at(140) + 12_288) / rateHz, 9)
  })

  it('counts what was written over before it came', () => {
    const made = view()
    for (let i = 0; i < 300; i++) made.writer.write(0, reading(4096 + 512 * i, 0), 0)
    made.view.update()
    expect(made.view.rows[0]).toMatchObject({ count: 300, missed: 45 })
  })

  it('makes the claim of the rule for whole takes, however often it is asked', () => {
    fc.assert(
      fc.property(
        fc.array(
          fc.record({
            // Mostly a hop, sometimes longer than the longest gap (4000 samples).
            step: fc.oneof({ weight: 12, arbitrary: fc.constant(512) }, fc.integer({ min: 100, max: 6000 })),
            cents: fc.oneof(
              { weight: 30, arbitrary: fc.double({ min: 0, max: 5, noNaN: true }) },
              { weight: 1, arbitrary: fc.double({ min: -30, max: 30, noNaN: true }) },
              { weight: 1, arbitrary: fc.constant(Number.NaN) },
            ),
          }),
          { maxLength: 120 },
        ),
        fc.integer({ min: 1, max: 40 }),
        (steps, asked) => {
          let sample = 0
          const readings = steps.map(({ step, cents }) => {
            sample += step
            return reading(sample, cents)
          })
          const made = view()
          for (const [i, one] of readings.entries()) {
            made.writer.write(0, one, 0)
            if (i % asked === 0) made.view.update()
          }
          made.view.update()
          const hold = firstHold(readings, rateHz, claim)
          const { claim: made0 } = made.view.rows[0]
          if (hold === null) expect(made0).toBeNull()
          else {
            expect(made0?.lockS).toBe(hold.lockS)
            expect(made0?.f0Hz).toBe(median(readings.slice(hold.first, hold.last + 1).map((one) => one.f0Hz)))
          }
        },
      ),
      { seed, numRuns: 300 },
    )
  })
})
