import { describe, expect, it } from 'vitest'
import type { Reading } from '../../src/core/methods/method.ts'
import { SampleHistory } from '../../src/host/livehistory.ts'
import { ReadingsPoster, ReadingsReader, ReadingsWriter, readingsBytes } from '../../src/host/livereadings.ts'

const reading = (number: number): Reading => ({
  fromSample: number,
  toSample: number + 10,
  atSample: number + 5,
  f0Hz: 100 + number,
  confidence: 0.5,
  spreadCents: Number.NaN,
})

const numbersSince = (reader: ReadingsReader, slot: number, from: number) => {
  const seen: number[] = []
  const next = reader.since(slot, from, (one) => seen.push(one.fromSample))
  return { seen, next }
}

describe('readings in memory', () => {
  it.each([1, 2, 3])('come out as they went in, slot by slot (%i slots)', (slots) => {
    const memory = new SharedArrayBuffer(readingsBytes(slots))
    const writer = new ReadingsWriter(memory, slots)
    const reader = new ReadingsReader(memory, slots)
    for (let slot = 0; slot < slots; slot++) writer.write(slot, reading(slot), 1000)
    for (let slot = 0; slot < slots; slot++) {
      const got: Reading[] = []
      expect(reader.since(slot, 0, (one) => got.push({ ...one }))).toBe(1)
      expect(got).toEqual([{ ...reading(slot), fromSample: slot + 1000, toSample: slot + 1010, atSample: slot + 1005 }])
      expect(numbersSince(reader, slot, 1)).toEqual({ seen: [], next: 1 })
    }
  })

  it('keep the last 255 that are surely whole; earlier ones are missed', () => {
    const memory = new ArrayBuffer(readingsBytes(1))
    const writer = new ReadingsWriter(memory, 1)
    const reader = new ReadingsReader(memory, 1)
    for (let i = 0; i < 600; i++) writer.write(0, reading(i), 0)
    const { seen, next } = numbersSince(reader, 0, 10)
    expect(next).toBe(600)
    expect(seen).toEqual(Array.from({ length: 255 }, (_, i) => 345 + i))
  })

  it('leave out a record that was written over while it was read', () => {
    const memory = new ArrayBuffer(readingsBytes(1))
    const writer = new ReadingsWriter(memory, 1)
    const reader = new ReadingsReader(memory, 1)
    for (let i = 0; i < 255; i++) writer.write(0, reading(i), 0)
    const seen: number[] = []
    reader.since(0, 0, (one) => {
      seen.push(one.fromSample)
      // The writer overtakes: 100 more after the first visit.
      if (seen.length === 1) for (let i = 255; i < 355; i++) writer.write(0, reading(i), 0)
    })
    // With 355 written, whole are those from 100 on.
    expect(seen).toEqual([0, ...Array.from({ length: 155 }, (_, i) => 100 + i)])
  })

  it('travel as posted records too', () => {
    const poster = new ReadingsPoster()
    expect(poster.take()).toBeNull()
    for (let i = 0; i < 150; i++) poster.write(i % 2, reading(i), 7)
    const records = poster.take()
    expect(poster.take()).toBeNull()
    const memory = new ArrayBuffer(readingsBytes(2))
    const reader = new ReadingsReader(memory, 2)
    new ReadingsWriter(memory, 2).writeRecords(structuredClone(records) as Float64Array)
    expect(numbersSince(reader, 1, 0)).toEqual({ seen: Array.from({ length: 75 }, (_, i) => 2 * i + 8), next: 75 })
    const got: Reading[] = []
    reader.since(0, 74, (one) => got.push({ ...one }))
    expect(got).toEqual([{ ...reading(148), fromSample: 155, toSample: 165, atSample: 160 }])
  })
})

describe('the last samples heard', () => {
  it('are given with the place of the first, however often the ring went round', () => {
    const history = new SampleHistory(5)
    history.keep(Float32Array.of(0, 1, 2))
    expect(history.snapshot(10)).toEqual({ startSample: 0, samples: Float32Array.of(0, 1, 2) })
    history.keep(Float32Array.of(3, 4, 5, 6, 7, 8, 9, 10))
    expect(history.snapshot(10)).toEqual({ startSample: 6, samples: Float32Array.of(6, 7, 8, 9, 10) })
    expect(history.snapshot(2)).toEqual({ startSample: 9, samples: Float32Array.of(9, 10) })
    expect(history.snapshot(-1).samples.length).toBe(0)
    history.restart(100)
    expect(history.snapshot(2)).toEqual({ startSample: 100, samples: new Float32Array() })
    history.keep(Float32Array.of(1))
    expect(history.snapshot(2)).toEqual({ startSample: 100, samples: Float32Array.of(1) })
  })
})
