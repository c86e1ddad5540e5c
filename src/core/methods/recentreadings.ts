/**
 * The answered readings of a stretch of time, and their average.
 *
 * Frequencies are averaged in their logarithm, re the oldest, so that equal ones average to themselves. The spread told is the
 * mean of the readings' own spreads: by Minkowski's inequality the deviation of a mean is at most that, and equal to it
 * where readings share their evidence, as neighbours mostly do.
 */
import type { Reading } from './method.ts'

/** Numbers kept of a reading: evidence, instant, frequency, confidence, spread. */
const columns = 6

export class RecentReadings {
  /** A ring of rows. It doubles when it is full, a few times at the beginning, and then allocates nothing. */
  #rows = new Float64Array(32 * columns)
  #first = 0
  #count = 0
  #newestTo = Number.NEGATIVE_INFINITY
  #newestAnswered = false

  /** Readings come in order of time; what counts is copied. */
  add(reading: Readonly<Reading>): void {
    const { fromSample, toSample, atSample, f0Hz, confidence, spreadCents } = reading
    this.#newestTo = toSample
    this.#newestAnswered = f0Hz > 0 && f0Hz < Number.POSITIVE_INFINITY
    if (!this.#newestAnswered) return
    if (this.#count * columns === this.#rows.length) this.#grow()
    const at = this.#rowOf(this.#count++)
    const rows = this.#rows
    rows[at] = fromSample
    rows[at + 1] = toSample
    rows[at + 2] = atSample
    rows[at + 3] = f0Hz
    rows[at + 4] = confidence
    rows[at + 5] = spreadCents
  }

  /** Only readings that end after `sample` count; the newest one does in any case. */
  forgetUpTo(sample: number): void {
    const fewest = this.#newestAnswered && this.#newestTo <= sample ? 1 : 0
    while (this.#count > fewest && this.#rows[this.#first * columns + 1] <= sample) {
      this.#first = (this.#first + 1) % (this.#rows.length / columns)
      this.#count--
    }
  }

  /** Writes all of `reading` but `toSample`; false, and nothing written, when there is none to average. */
  average(reading: Reading): boolean {
    if (this.#count === 0) return false
    const rows = this.#rows
    const baseHz = rows[this.#rowOf(0) + 3]
    let fromSample = Number.POSITIVE_INFINITY
    let at = 0
    let log = 0
    let confidence = 0
    let spread = 0
    for (let i = 0; i < this.#count; i++) {
      const row = this.#rowOf(i)
      if (rows[row] < fromSample) fromSample = rows[row]
      at += rows[row + 2]
      log += Math.log(rows[row + 3] / baseHz)
      confidence += rows[row + 4]
      spread += rows[row + 5]
    }
    reading.fromSample = fromSample
    reading.atSample = at / this.#count
    reading.f0Hz = baseHz * Math.exp(log / this.#count)
    reading.confidence = Math.min(1, confidence / this.#count)
    reading.spreadCents = spread / this.#count
    return true
  }

  /** Where the i-th oldest stands. */
  #rowOf(i: number): number {
    return ((this.#first + i) * columns) % this.#rows.length
  }

  #grow(): void {
    const wider = new Float64Array(2 * this.#rows.length)
    const split = this.#first * columns
    wider.set(this.#rows.subarray(split))
    wider.set(this.#rows.subarray(0, split), this.#rows.length - split)
    this.#rows = wider
    this.#first = 0
  }
}
