/**
 * Which recorded pluck an imagined one is, and on which string: one about as hard and as far off (standins.ts), of a string of the evening's
 * kind (alike.ts), and now and then (one more than there are) one of the next noisier cell, for what was too rare to be
 * recorded. What a string itself gives a method's claims, and whether it lets it claim, stays with it, so the string is drawn once
 * an evening; only what noise and force did is drawn pluck by pluck.
 */
import { randomStream } from '../maths/random.ts'
import type { Draws } from './draws.ts'
import { cellIndexAt, type PlanRecords } from './records.ts'
import { perPluck, type Recorded, recordedOf, type Sorted, sortedFrom } from './sorted.ts'

/** Of one method on one kind of string. */
interface Strings {
  readonly sorted: Sorted
  /** Those that an evening's may be. */
  readonly drawn: Uint32Array
  /** [ratio], made when first asked for. */
  readonly recorded: (Recorded | undefined)[]
}

/** A pluck to come. */
export interface WantedPluck {
  /** Of a pluck of usual force. */
  snrDb: number
  /** This one over it. */
  harderDb: number
  /** How far off its note the string is. */
  residualCents: number
  /** What the string's last one was (`taken`); -1: it is the first. */
  last: number
}

/** Where it comes from what a pluck led to: a recorded trial, or a string that is really heard (closedloop.ts). */
export interface PluckOutcomes {
  /** Of the last `draw`: s after the pluck (NaN: never), and claim minus truth, of which `offsetCents` is the string's own. */
  readonly lockS: number
  readonly errorCents: number
  readonly offsetCents: number
  /** Which recorded trial it was, -1: none. No two plucks in a row are one: they would be off alike. */
  readonly taken: number
  /** `draws` stands at it. */
  draw(episode: number, string: number, method: number, wanted: WantedPluck, draws: Draws): void
}

/** Softer or harder by less than any recorded pluck, one is stood for by the softest or the hardest. */
const beyondLeastDb = 1

/** [string][method], made when first asked for. */
type ByStringAndMethod<T> = (T | undefined)[][]

/** What does not change when strings are drawn anew is worked out once for the same records. */
const sortedOf = new WeakMap<PlanRecords, ByStringAndMethod<Sorted>>()
const asRecorded = new WeakMap<PlanRecords, ByStringAndMethod<Strings>>()

function kept<T>(known: WeakMap<PlanRecords, ByStringAndMethod<T>>, records: PlanRecords): ByStringAndMethod<T> {
  const found = known.get(records) ?? records.cells.map(() => [])
  known.set(records, found)
  return found
}

export class RecordedPlucks implements PluckOutcomes {
  lockS = Number.NaN
  errorCents = Number.NaN
  offsetCents = 0
  taken = -1
  readonly #records: PlanRecords
  readonly #resampledBy: number | null
  readonly #sorted: ByStringAndMethod<Sorted>
  readonly #strings: ByStringAndMethod<Strings>

  /** `resampledBy`: draws strings anew with all of their plucks, for intervals. null: as recorded. */
  constructor(records: PlanRecords, resampledBy: number | null = null) {
    this.#records = records
    this.#resampledBy = resampledBy
    this.#sorted = kept(sortedOf, records)
    this.#strings = resampledBy === null ? kept(asRecorded, records) : records.cells.map(() => [])
  }

  draw(episode: number, string: number, method: number, wanted: WantedPluck, draws: Draws): void {
    const { snrDb, harderDb } = wanted
    const { snrsDb, unseen } = this.#records
    const strings = this.#strings[string][method] ?? this.#stringsOf(string, method)
    const own = strings.drawn[Math.floor(draws.stringOf(episode, string) * strings.drawn.length)]
    this.offsetCents = strings.sorted.offsetsCents[own]
    const { softestDb, hardestDb } = this.#recordedAt(strings, cellIndexAt(snrsDb, snrDb)).all.standIns
    // Softer or harder than any recorded: one of another ratio stands nearer.
    const beyondDb = harderDb - Math.max(softestDb, Math.min(hardestDb, harderDb))
    const index = cellIndexAt(snrsDb, Math.abs(beyondDb) > beyondLeastDb ? snrDb + beyondDb : snrDb)
    const recorded = this.#recordedAt(strings, index)
    const { length } = recorded.all.standIns.trials
    const seen = draws.trial * (length + (unseen ? 1 : 0))
    const place = strings.sorted.places[own]
    if (seen < length) {
      this.#take(recorded, place, own, wanted, seen / length)
      return
    }
    if (index === 0) {
      // Nothing noisier was recorded: the unseen pluck is one that never settles.
      this.lockS = Number.NaN
      this.errorCents = Number.NaN
      this.taken = -1
      return
    }
    this.#take(this.#recordedAt(strings, index - 1), place, own, wanted, draws.worseTrial)
  }

  /** `place` of `string` in the row of its kind; `drawn` in [0, 1): which of the plucks that may stand for one of it. */
  #take(
    { usualCents, all, kinds, ofKind, own, wide }: Recorded,
    place: number,
    string: number,
    wanted: WantedPluck,
    drawn: number,
  ): void {
    const isOfKind = drawn < ofKind
    const row = isOfKind ? kinds[Math.floor(place * kinds.length)] : all
    const chance = isOfKind ? drawn / ofKind : (drawn - ofKind) / (1 - ofKind)
    const at = row.standIns.pick(wanted, chance)
    this.lockS = row.told[perPluck * at]
    const spreadCents = row.told[perPluck * at + 1]
    const noise = row.told[perPluck * at + 2]
    // Those at hand are seldom quite as hard, and at the ends of the row all of them less so.
    this.errorCents = usualCents.at(wanted.harderDb) + spreadCents * (own[string] + wide[string] * noise)
    this.taken = row.standIns.trials[at]
  }

  #stringsOf(string: number, method: number): Strings {
    const sorted = this.#sorted[string][method] ?? sortedFrom(this.#records, string, method)
    this.#sorted[string][method] = sorted
    const count = sorted.places.length
    // Alike for every method: what one room moment does to one it does to all.
    const random = this.#resampledBy === null ? null : randomStream(this.#resampledBy, 'resampled', string)
    const drawn = Uint32Array.from({ length: count }, (_, at) => (random === null ? at : random.whole(count)))
    const made = { sorted, drawn, recorded: [] }
    this.#strings[string][method] = made
    return made
  }

  #recordedAt(strings: Strings, ratio: number): Recorded {
    const made = strings.recorded[ratio] ?? recordedOf(strings.sorted, strings.drawn, ratio)
    strings.recorded[ratio] = made
    return made
  }
}
