/**
 * What a method promises holds behind any display too. Half of the listed methods, one of each kind; fast-check prints the
 * failing seed.
 */
import fc from 'fast-check'
import { describe, expect, it } from 'vitest'
import { fill } from '../../src/core/fields.ts'
import { displayed, displayFields } from '../../src/core/methods/displayed.ts'
import { methodById } from '../../src/core/methods/index.ts'
import type { Method, Reading, Stream } from '../../src/core/methods/method.ts'

const seed = 20240611
const rate = 48000
const stream: Stream = { sampleRateHz: rate, lowestHz: 30, highestHz: 1400, targetHz: 110, room: null }

/** Six partials falling as 1/k and dying away over a second, after a quarter of a second of faint noise. */
function note(noise: number): Float32Array {
  let state = 4711
  return Float32Array.from({ length: 1.25 * rate }, (_, i) => {
    const t = i / rate - 0.25
    let sum = 0
    for (let k = 1; k <= 6 && t >= 0; k++) sum += Math.sin(2 * Math.PI * k * 110 * t + k) / k
    state = (Math.imul(state, 1664525) + 1013904223) | 0
    return 0.3 * sum * Math.exp(-3 * t) + (noise * state) / 2 ** 31
  })
}
const take = note(0.01)

const settings = fc.record({
  averagingMs: fc.double({ min: 50, max: 800, noNaN: true }),
  updateHz: fc.double({ min: 5, max: 30, noNaN: true }),
  inRangeCents: fc.constantFrom(0, 1, 8),
  gateDb: fc.constantFrom(-120, -40, -20),
})

function collected(method: Method, blocks: Iterable<Float32Array>): Reading[] {
  const ear = method.open(stream, fill(method.fields, { hop: 1024 }))
  const readings: Reading[] = []
  for (const block of blocks) ear.push(block, (reading) => readings.push({ ...reading }))
  return readings
}

/** Readings, each with the number of samples that had been heard when it came. */
function whenSaid(method: Method): (Reading & { saidAt: number })[] {
  const ear = method.open(stream, fill(method.fields, { hop: 1024 }))
  const readings: (Reading & { saidAt: number })[] = []
  for (let i = 0; i < take.length; i++) {
    ear.push(take.subarray(i, i + 1), (reading) => readings.push({ ...reading, saidAt: i + 1 }))
  }
  return readings
}

function* cut(samples: Float32Array, lengths: readonly number[]): Generator<Float32Array> {
  for (let start = 0, i = 0; start < samples.length; i++) {
    const length = lengths[i % lengths.length] as number
    yield samples.subarray(start, start + length)
    start += length
  }
}

describe.each(['yin', 'spectral-peak', 'partial-fit', 'joint-fit', 'whitened-sum', 'zero-crossing', 'swipe-prime'])(
  'a displayed %s',
  (id) => {
    it('says the same however the stream is cut', () => {
      const lengths = fc.array(fc.integer({ min: 1, max: 6000 }), { minLength: 1, maxLength: 6 })
      fc.assert(
        fc.property(settings, lengths, (chosen, cuts) => {
          const method = displayed(methodById(id), chosen)
          expect(collected(method, cut(take, cuts))).toEqual(collected(method, [take]))
        }),
        { seed, numRuns: 3, examples: [[fill(displayFields, {}), [128]]] },
      )
    })

    it('shows one value an update, with evidence that was heard and is its own', () => {
      const own = whenSaid(methodById(id))
      fc.assert(
        fc.property(settings, (chosen) => {
          const readings = collected(displayed(methodById(id), chosen), cut(take, [1, 127, 500]))
          expect(readings).toHaveLength(Math.floor((take.length / rate) * chosen.updateHz + 1e-9))
          const averaging = Math.round((chosen.averagingMs / 1000) * rate)
          for (const [i, { fromSample, toSample, atSample, f0Hz, confidence, spreadCents }] of readings.entries()) {
            expect(toSample).toBe(Math.round(((i + 1) * rate) / chosen.updateHz))
            expect(fromSample).toBeGreaterThanOrEqual(0)
            expect(fromSample).toBeLessThan(toSample)
            expect(atSample).toBeGreaterThanOrEqual(fromSample)
            expect(atSample).toBeLessThanOrEqual(toSample)
            expect(confidence >= 0 && confidence <= 1).toBe(true)
            expect(Number.isNaN(spreadCents) || spreadCents >= 0).toBe(true)
            if (Number.isNaN(f0Hz)) continue
            // Between the lowest and the highest that the method itself said in the averaging time, or moved by the window.
            const there = own.filter((one) => one.saidAt <= toSample && one.toSample > toSample - averaging)
            const said = there.map((one) => one.f0Hz).filter((hz) => hz > 0)
            const reach = 2 ** ((chosen.inRangeCents + 1e-6) / 1200)
            expect(f0Hz).toBeGreaterThanOrEqual(Math.min(...said) / reach)
            expect(f0Hz).toBeLessThanOrEqual(Math.max(...said) * reach)
            const oldest = Math.min(...there.filter((one) => one.f0Hz > 0).map((one) => one.fromSample))
            expect(fromSample).toBe(oldest)
          }
        }),
        { seed, numRuns: 6 },
      )
    })

    it('declines silence and what is no number, and never throws', () => {
      for (const filling of [0, Number.NaN, Number.POSITIVE_INFINITY]) {
        const readings = collected(displayed(methodById(id)), [new Float32Array(rate).fill(filling)])
        expect(readings).toHaveLength(15)
        expect(readings.every(({ f0Hz }) => Number.isNaN(f0Hz))).toBe(true)
      }
    })

    it('hears the note at all', () => {
      const readings = collected(displayed(methodById(id)), [note(0.001)])
      const heard = readings.filter(({ f0Hz }) => Math.abs(1200 * Math.log2(f0Hz / 110)) < 50)
      // Half of the 15 updates of the note's second: what was compared above is more than declined readings.
      expect(heard.length).toBeGreaterThan(7)
    })
  },
)
