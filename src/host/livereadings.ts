/**
 * The newest readings of several methods, from the thread that makes them to a page that draws them: numbers in memory,
 * shared or plain, one writer and one reader, no objects made on the way.
 *
 * Every method has a slot: a count of all readings so far and room for the last 256 of them, 2.7 s at the default hop; a
 * reader that is later misses some and is told. The writer stores a record, then the count (Atomics.store publishes what
 * was stored before it). The reader copies a record, then looks at the count again: a record that may have been written
 * over meanwhile is left out. Counts stay whole for 2^31 readings, 267 days at 93 a second.
 */
import type { Reading } from '../core/methods/method.ts'

/** A power of two. */
const kept = 256
/** fromSample, toSample, atSample, f0Hz, confidence, spreadCents. */
const numbersOfReading = 6
/** A record that is posted begins with its slot. */
export const recordNumbers = numbersOfReading + 1

type Memory = ArrayBuffer | SharedArrayBuffer

/** Counts are 4 bytes each, rounded up so that the 8-byte numbers behind them are aligned. */
const headBytes = (slots: number): number => 8 * Math.ceil(slots / 2)

export const readingsBytes = (slots: number): number => headBytes(slots) + 8 * slots * kept * numbersOfReading

/** Where a method's readings go. */
export interface ReadingsSink {
  /** `startSample`: the listener's own sample 0, in samples of the stream. */
  write(slot: number, reading: Readonly<Reading>, startSample: number): void
}

export class ReadingsWriter implements ReadingsSink {
  readonly #counts: Int32Array
  readonly #numbers: Float64Array

  /** `memory` of `readingsBytes(slots)` bytes, zeroed when new. */
  constructor(memory: Memory, slots: number) {
    this.#counts = new Int32Array(memory, 0, slots)
    this.#numbers = new Float64Array(memory, headBytes(slots))
  }

  write(slot: number, reading: Readonly<Reading>, startSample: number): void {
    const count = Atomics.load(this.#counts, slot)
    store(this.#numbers, (slot * kept + (count & (kept - 1))) * numbersOfReading, reading, startSample)
    Atomics.store(this.#counts, slot, count + 1)
  }

  /** Takes what `ReadingsPoster` posted. */
  writeRecords(records: Float64Array): void {
    for (let at = 0; at + recordNumbers <= records.length; at += recordNumbers) {
      const slot = records[at]
      const count = Atomics.load(this.#counts, slot)
      const to = (slot * kept + (count & (kept - 1))) * numbersOfReading
      for (let i = 0; i < numbersOfReading; i++) this.#numbers[to + i] = records[at + 1 + i]
      Atomics.store(this.#counts, slot, count + 1)
    }
  }
}

/** Collects readings until they are posted. */
export class ReadingsPoster implements ReadingsSink {
  #records = new Float64Array(64 * recordNumbers)
  #used = 0

  write(slot: number, reading: Readonly<Reading>, startSample: number): void {
    if (this.#used === this.#records.length) {
      const longer = new Float64Array(2 * this.#records.length)
      longer.set(this.#records)
      this.#records = longer
    }
    this.#records[this.#used] = slot
    store(this.#records, this.#used + 1, reading, startSample)
    this.#used += recordNumbers
  }

  /** What was collected since the last call, whole records in a buffer of its own; null: nothing. */
  take(): Float64Array<ArrayBuffer> | null {
    if (this.#used === 0) return null
    const records = this.#records.slice(0, this.#used)
    this.#used = 0
    return records
  }
}

function store(numbers: Float64Array, at: number, reading: Readonly<Reading>, startSample: number): void {
  numbers[at] = reading.fromSample + startSample
  numbers[at + 1] = reading.toSample + startSample
  numbers[at + 2] = reading.atSample + startSample
  numbers[at + 3] = reading.f0Hz
  numbers[at + 4] = reading.confidence
  numbers[at + 5] = reading.spreadCents
}

export class ReadingsReader {
  readonly slots: number
  readonly #counts: Int32Array
  readonly #numbers: Float64Array
  readonly #reading: Reading = { fromSample: 0, toSample: 0, atSample: 0, f0Hz: 0, confidence: 0, spreadCents: 0 }

  constructor(memory: Memory, slots: number) {
    this.slots = slots
    this.#counts = new Int32Array(memory, 0, slots)
    this.#numbers = new Float64Array(memory, headBytes(slots))
  }

  /** All readings of a slot so far. */
  count(slot: number): number {
    return Atomics.load(this.#counts, slot)
  }

  /**
   * Visits the readings from number `from` on that are still there, oldest first; answers the number to go on from. The
   * reading is lent for the call. Those missed, if any, are the difference between that and `from` less the visits.
   */
  since(slot: number, from: number, visit: (reading: Readonly<Reading>) => void): number {
    const count = this.count(slot)
    const reading = this.#reading
    for (let index = Math.max(from, count - kept + 1); index < count; index++) {
      const at = (slot * kept + (index & (kept - 1))) * numbersOfReading
      reading.fromSample = this.#numbers[at]
      reading.toSample = this.#numbers[at + 1]
      reading.atSample = this.#numbers[at + 2]
      reading.f0Hz = this.#numbers[at + 3]
      reading.confidence = this.#numbers[at + 4]
      reading.spreadCents = this.#numbers[at + 5]
      // The place of record `now` is being written: a record is whole only while it lies less than `kept` behind.
      if (this.count(slot) - index < kept) visit(reading)
    }
    return count
  }
}
