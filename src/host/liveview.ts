/**
 * What a person sees of methods that run live, without a page: per method the newest reading, the last five, since when it
 * has been steady, and its claim. Asked once a frame; it reads only what is new.
 *
 * Steady and claim follow claim.ts, whose `firstHold` is asked about each reading in turn: the readings of its hold, and the
 * one before them, are laid out so that only the newest can complete a hold. The claim is the median of the first hold since
 * `restart` (a new pluck, another string) and final until the next.
 */
import { median } from '../core/maths/statistics.ts'
import type { Reading } from '../core/methods/method.ts'
import { firstHold } from '../core/score/claim.ts'
import type { ClaimSettings } from '../core/score/score.ts'
import type { ReadingsReader } from './livereadings.ts'

const shownReadings = 5

export interface LiveClaim {
  readonly f0Hz: number
  /** When it was made, s of the stream. */
  readonly lockS: number
}

/** One method as it stands. Belongs to the view, which changes it; NaN stands for what is not there. */
export interface LiveRow {
  /** Readings so far, and those that were written over before the view came to read them. */
  readonly count: number
  readonly missed: number
  /** NaN: none yet, or declined. */
  readonly f0Hz: number
  readonly confidence: number
  readonly spreadCents: number
  /** When its last sample was heard, s of the stream. */
  readonly toS: number
  /** The last five, newest first; NaN: declined or not there. */
  readonly lastHz: Float64Array
  /** When the readings stopped moving; NaN: they move. */
  readonly steadySinceS: number
  readonly claim: LiveClaim | null
}

type Held = { -readonly [K in keyof LiveRow]: LiveRow[K] } & {
  /** Readings of the last hold and the one before, oldest first. Objects are used again. */
  readonly recent: Reading[]
  readonly spare: Reading[]
  seen: number
}

export class LiveView {
  readonly #reader: ReadingsReader
  readonly #sampleRateHz: number
  readonly #claim: ClaimSettings
  readonly #rows: Held[]
  readonly #visitors: ((reading: Readonly<Reading>) => void)[]
  /** A take begins here, samples of the stream. */
  #fromSample = 0

  constructor(reader: ReadingsReader, sampleRateHz: number, claim: ClaimSettings) {
    this.#reader = reader
    this.#sampleRateHz = sampleRateHz
    this.#claim = claim
    this.#rows = Array.from({ length: reader.slots }, emptyRow)
    this.#visitors = this.#rows.map((row) => (reading) => this.#take(row, reading))
  }

  get rows(): readonly LiveRow[] {
    return this.#rows
  }

  /** Reads what is new. Answers whether anything was. */
  update(): boolean {
    let changed = false
    for (const [slot, row] of this.#rows.entries()) {
      const from = row.count
      row.count = this.#reader.since(slot, from, this.#visitors[slot])
      row.missed = row.count - row.seen
      changed ||= row.count !== from
    }
    return changed
  }

  /** A take begins at `fromSample`: no claim is made yet, and what was read before counts for none. */
  restart(fromSample: number): void {
    this.#fromSample = fromSample
    for (const row of this.#rows) {
      row.claim = null
      row.steadySinceS = Number.NaN
      row.spare.push(...row.recent.splice(0))
    }
  }

  #take(row: Held, reading: Readonly<Reading>): void {
    row.seen++
    row.f0Hz = reading.f0Hz
    row.confidence = reading.confidence
    row.spreadCents = reading.spreadCents
    row.toS = reading.toSample / this.#sampleRateHz
    row.lastHz.copyWithin(1, 0)
    row.lastHz[0] = reading.f0Hz
    if (reading.toSample < this.#fromSample) return
    this.#watch(row, reading)
  }

  #watch(row: Held, reading: Readonly<Reading>): void {
    const { recent, spare } = row
    const { holdS } = this.#claim
    const holdSamples = holdS * this.#sampleRateHz
    recent.push(Object.assign(spare.pop() ?? { ...reading }, reading))
    // The one before the hold stays: whether a gap lies between it and the hold is part of the rule.
    let before = 0
    while (before + 1 < recent.length && recent[before + 1].toSample < reading.toSample - holdSamples - 1) before++
    if (before > 0) spare.push(...recent.splice(0, before))
    if (reading.toSample - this.#fromSample < holdSamples) {
      row.steadySinceS = Number.NaN
      return
    }
    // Times end at exactly one hold: no earlier reading is late enough to complete one.
    const shift = holdSamples - reading.toSample
    for (const one of recent) one.toSample += shift
    const hold = firstHold(recent, this.#sampleRateHz, this.#claim)
    for (const one of recent) one.toSample -= shift
    if (hold === null) {
      row.steadySinceS = Number.NaN
      return
    }
    if (Number.isNaN(row.steadySinceS)) row.steadySinceS = row.toS - holdS
    row.claim ??= { f0Hz: median(recent.slice(hold.first).map((one) => one.f0Hz)), lockS: row.toS }
  }
}

function emptyRow(): Held {
  const none = Number.NaN
  return {
    count: 0,
    missed: 0,
    f0Hz: none,
    confidence: none,
    spreadCents: none,
    toS: none,
    lastHz: new Float64Array(shownReadings).fill(none),
    steadySinceS: none,
    claim: null,
    recent: [],
    spare: [],
    seen: 0,
  }
}
