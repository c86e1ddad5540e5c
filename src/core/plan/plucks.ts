/**
 * Which recorded pluck an imagined one is, and on which string: one about as hard and as far off (standins.ts), of a string of the evening's
 * kind (alike.ts), and now and then (one more than there are) one of the next noisier cell, for what was too rare to be
 * recorded. What a string itself gives a method's claims, and whether it lets it claim, stays with it, so the string is drawn once
 * an evening; only what noise and force did is drawn pluck by pluck.
 */
import { randomStream } from '../maths/random.ts'
import { kindsOf, ofKindShare, placesOf } from './alike.ts'
import type { Draws } from './draws.ts'
import { cellIndexAt, type PlanCell, type PlanRecords } from './records.ts'
import { ByForceSteps, StandIns } from './standins.ts'

/** Plucks of strings of one kind, or of all; the softest first. */
interface Row {
  readonly standIns: StandIns
  /** [perPluck * place + what]: side by side, for a plan asks for them millions of times, here and there. */
  readonly told: Float64Array
}
/** What: lock time, and spread and noise as ownclaims.ts tells. */
const perPluck = 3

interface Recorded {
  readonly usualCents: ByForceSteps
  readonly all: Row
  /** Strings that lose fewest claims first. */
  readonly kinds: readonly Row[]
  /** How often a pluck is one of its string's kind. */
  readonly ofKind: number
  /** Of each recorded string. */
  readonly own: Float64Array
  readonly wide: Float64Array
}

/** Of one method on one kind of string; one entry a recorded string where nothing else is said. */
interface Strings {
  /** Those that an evening's may be. */
  readonly drawn: Uint32Array
  /** Its place among all of them, in [0, 1). */
  readonly places: Float64Array
  readonly offsetsCents: Float64Array
  /** [ratio] */
  readonly recorded: readonly Recorded[]
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

export class RecordedPlucks implements PluckOutcomes {
  lockS = Number.NaN
  errorCents = Number.NaN
  offsetCents = 0
  taken = -1
  readonly #records: PlanRecords
  readonly #resampledBy: number | null
  /** [string][method], made when first asked for. */
  readonly #strings: (Strings | undefined)[][]

  /** `resampledBy`: draws strings anew with all of their plucks, for intervals. null: as recorded. */
  constructor(records: PlanRecords, resampledBy: number | null = null) {
    this.#records = records
    this.#resampledBy = resampledBy
    this.#strings = records.cells.map(() => [])
  }

  draw(episode: number, string: number, method: number, wanted: WantedPluck, draws: Draws): void {
    const { snrDb, harderDb } = wanted
    const { snrsDb, unseen } = this.#records
    const strings = this.#strings[string][method] ?? this.#sorted(string, method)
    const own = strings.drawn[Math.floor(draws.stringOf(episode, string) * strings.drawn.length)]
    this.offsetCents = strings.offsetsCents[own]
    const { softestDb, hardestDb } = strings.recorded[cellIndexAt(snrsDb, snrDb)].all.standIns
    // Softer or harder than any recorded: one of another ratio stands nearer.
    const beyondDb =
      Math.min(0, harderDb - softestDb + beyondLeastDb) + Math.max(0, harderDb - hardestDb - beyondLeastDb)
    const index = cellIndexAt(snrsDb, snrDb + beyondDb)
    const { length } = strings.recorded[index].all.standIns.trials
    const seen = draws.trial * (length + (unseen ? 1 : 0))
    if (seen < length) {
      this.#take(strings, own, index, wanted, seen / length)
      return
    }
    if (index === 0) {
      // Nothing noisier was recorded: the unseen pluck is one that never settles.
      this.lockS = Number.NaN
      this.errorCents = Number.NaN
      this.taken = -1
      return
    }
    this.#take(strings, own, index - 1, wanted, draws.worseTrial)
  }

  /** `drawn` in [0, 1): which of the plucks that may stand for one of `string`. */
  #take({ places, recorded }: Strings, string: number, ratio: number, wanted: WantedPluck, drawn: number): void {
    const { usualCents, all, kinds, ofKind, own, wide } = recorded[ratio]
    const isOfKind = drawn < ofKind
    const row = isOfKind ? kinds[Math.floor(places[string] * kinds.length)] : all
    const chance = isOfKind ? drawn / ofKind : (drawn - ofKind) / (1 - ofKind)
    const at = row.standIns.pick(wanted, chance)
    this.lockS = row.told[perPluck * at]
    const spreadCents = row.told[perPluck * at + 1]
    const noise = row.told[perPluck * at + 2]
    // Those at hand are seldom quite as hard, and at the ends of the row all of them less so.
    this.errorCents = usualCents.at(wanted.harderDb) + spreadCents * (own[string] + wide[string] * noise)
    this.taken = row.standIns.trials[at]
  }

  /** Resampled alike for every method: what one room moment does to one it does to all. */
  #drawn(string: number, strings: number): Uint32Array {
    const random = this.#resampledBy === null ? null : randomStream(this.#resampledBy, 'resampled', string)
    return Uint32Array.from({ length: strings }, (_, at) => (random === null ? at : random.whole(strings)))
  }

  #sorted(string: number, method: number): Strings {
    const { cells: all, methods, offsetsCents } = this.#records
    const cells = all[string]
    const count = offsetsCents[string].length / methods.length
    const ofMethod = (values: Float64Array, n: number): Float64Array => values.subarray(method * n, (method + 1) * n)
    const drawn = this.#drawn(string, count)
    const lost = cells.map((cell) => ({ ...cell, lockS: ofMethod(cell.lockS, cell.n) }))
    const places = placesOf(lost, count)
    const made = {
      ...{ drawn, places },
      offsetsCents: ofMethod(offsetsCents[string], count),
      recorded: cells.map((cell, ratio): Recorded => {
        const told = [lost[ratio].lockS, ofMethod(cell.spreadCents, cell.n), ofMethod(cell.noise, cell.n)]
        const rowOf = (trials: Uint32Array): Row => ({
          standIns: new StandIns(
            trials,
            Float64Array.from(trials, (trial) => cell.harderDb[trial]),
            Float64Array.from(trials, (trial) => cell.detuneCents[trial]),
          ),
          told: Float64Array.from(Array.from(trials).flatMap((trial) => told.map((values) => values[trial]))),
        })
        const trials = trialsOf(cell, drawn)
        const all = rowOf(trials)
        const kinds = kindsOf(trials.length)
        const usualCents = ofMethod(cell.usualCents, cell.n)
        return {
          usualCents: new ByForceSteps(
            Float64Array.from(trials, (trial) => cell.harderDb[trial]),
            Float64Array.from(trials, (trial) => usualCents[trial]),
          ),
          all,
          kinds: Array.from({ length: kinds }, (_, kind) => {
            const ofKind = trials.filter((trial) => Math.floor(places[cell.ofString[trial]] * kinds) === kind)
            return ofKind.length === 0 ? all : rowOf(ofKind)
          }),
          ofKind: ofKindShare(lost[ratio], places, kinds),
          own: ofMethod(cell.own, count),
          wide: ofMethod(cell.wide, count),
        }
      }),
    }
    this.#strings[string][method] = made
    return made
  }
}

/** The softest first: trials of the strings drawn, as often as each was; all trials where none of them was plucked. */
function trialsOf({ n, harderDb, ofString }: PlanCell, drawn: Uint32Array): Uint32Array {
  const byString = new Map<number, number[]>()
  for (let trial = 0; trial < n; trial++)
    byString.set(ofString[trial], [...(byString.get(ofString[trial]) ?? []), trial])
  const some = Array.from(drawn).flatMap((string) => byString.get(string) ?? [])
  const trials = some.length > 0 ? Uint32Array.from(some) : Uint32Array.from({ length: n }, (_, trial) => trial)
  return trials.sort((a, b) => harderDb[a] - harderDb[b])
}
