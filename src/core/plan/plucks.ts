/**
 * Which recorded pluck an imagined one is, and on which string: one about as hard, with the string about as far off and of the evening's
 * kind (alike.ts), and now and then (one more than there are) one of the next noisier cell, for what was too rare to be
 * recorded. What a string itself gives a method's claims, and whether it lets it claim, stays with it, so the string is drawn once
 * an evening; only what noise and force did is drawn pluck by pluck.
 */
import { randomStream } from '../maths/random.ts'
import { kindsOf, ofKindShare, placesOf } from './alike.ts'
import { AsHard, asHardDb } from './byforce.ts'
import type { Draws } from './draws.ts'
import { cellIndexAt, farCents, nearCents, type PlanCell, type PlanRecords } from './records.ts'

/** Plucks of strings of one kind, or of all; the softest first. */
interface Row {
  readonly asHard: AsHard
  readonly lockS: Float64Array
  /** As ownclaims.ts tells. */
  readonly usualCents: Float64Array
  readonly spreadCents: Float64Array
  readonly noise: Float64Array
}

interface Recorded {
  readonly n: number
  readonly softestDb: number
  readonly hardestDb: number
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
  /** [ratio][nearly in tune, off, far off] */
  readonly recorded: readonly (readonly Recorded[])[]
}

/** Where it comes from what a pluck led to: a recorded trial, or a string that is really heard (closedloop.ts). */
export interface PluckOutcomes {
  /** Of the last `draw`: s after the pluck (NaN: never), and claim minus truth, of which `offsetCents` is the string's own. */
  readonly lockS: number
  readonly errorCents: number
  readonly offsetCents: number
  /** `snrDb`: of a pluck of usual force; this one is `harderDb` harder. `draws` stands at it. */
  draw(
    episode: number,
    string: number,
    method: number,
    snrDb: number,
    harderDb: number,
    residualCents: number,
    draws: Draws,
  ): void
}

/** Where fewer plucks are as hard as the wanted one, at the ends of the row: chance has a few to choose from. */
const fewestAsHard = 2

export class RecordedPlucks implements PluckOutcomes {
  lockS = Number.NaN
  errorCents = Number.NaN
  offsetCents = 0
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

  draw(
    episode: number,
    string: number,
    method: number,
    snrDb: number,
    harderDb: number,
    residualCents: number,
    draws: Draws,
  ): void {
    const { snrsDb, unseen } = this.#records
    const strings = this.#strings[string][method] ?? this.#sorted(string, method)
    const own = strings.drawn[Math.floor(draws.stringOf(episode, string) * strings.drawn.length)]
    this.offsetCents = strings.offsetsCents[own]
    const far = farOf(residualCents)
    const { softestDb, hardestDb } = strings.recorded[cellIndexAt(snrsDb, snrDb)][far]
    // Softer or harder than any recorded: one of another ratio stands nearer.
    const beyondDb = Math.min(0, harderDb - softestDb + asHardDb) + Math.max(0, harderDb - hardestDb - asHardDb)
    const index = cellIndexAt(snrsDb, snrDb + beyondDb)
    const recorded = strings.recorded[index][far]
    const { n } = recorded
    const seen = draws.trial * (n + (unseen ? 1 : 0))
    if (seen < n) {
      this.#take(recorded, strings.places[own], own, harderDb, seen / n)
      return
    }
    if (index === 0) {
      // Nothing noisier was recorded: the unseen pluck is one that never settles.
      this.lockS = Number.NaN
      this.errorCents = Number.NaN
      return
    }
    this.#take(strings.recorded[index - 1][far], strings.places[own], own, harderDb, draws.worseTrial)
  }

  /** `drawn` in [0, 1): which of the plucks that may stand for one of this string. */
  #take(
    { all, kinds, ofKind, own, wide }: Recorded,
    place: number,
    string: number,
    harderDb: number,
    drawn: number,
  ): void {
    const isOfKind = drawn < ofKind
    const { asHard, lockS, usualCents, spreadCents, noise } = isOfKind ? kinds[Math.floor(place * kinds.length)] : all
    const chance = isOfKind ? drawn / ofKind : (drawn - ofKind) / (1 - ofKind)
    asHard.find(0, lockS.length, harderDb, fewestAsHard)
    const taken = asHard.from + Math.floor(chance * (asHard.to - asHard.from))
    this.lockS = lockS[taken]
    this.errorCents = usualCents[taken] + spreadCents[taken] * (own[string] + wide[string] * noise[taken])
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
      recorded: cells.map((cell, ratio) => {
        const { lockS } = lost[ratio]
        const rowOf = (trials: Uint32Array): Row => {
          const of = (values: Float64Array): Float64Array => Float64Array.from(trials, (trial) => values[trial])
          const [usualCents, spreadCents, noise] = [cell.usualCents, cell.spreadCents, cell.noise].map((values) =>
            of(ofMethod(values, cell.n)),
          )
          return { asHard: new AsHard(of(cell.harderDb)), lockS: of(lockS), usualCents, spreadCents, noise }
        }
        return byDistance(cell, drawn).map((unsorted): Recorded => {
          const trials = unsorted.sort((a, b) => cell.harderDb[a] - cell.harderDb[b])
          const kinds = kindsOf(trials.length)
          return {
            n: trials.length,
            softestDb: cell.harderDb[trials[0]],
            hardestDb: cell.harderDb[trials[trials.length - 1]],
            all: rowOf(trials),
            kinds: Array.from({ length: kinds }, (_, kind) =>
              rowOf(trials.filter((trial) => Math.floor(places[cell.ofString[trial]] * kinds) === kind)),
            ),
            ofKind: ofKindShare(lost[ratio], places, kinds),
            own: ofMethod(cell.own, count),
            wide: ofMethod(cell.wide, count),
          }
        })
      }),
    }
    this.#strings[string][method] = made
    return made
  }
}

const farOf = (cents: number): number => (Math.abs(cents) <= nearCents ? 0 : Math.abs(cents) <= farCents ? 1 : 2)

/** Trials of the strings drawn, as often as each was, by how far off they are; where none are, those that are nearest in that stand in. */
function byDistance({ n, detuneCents, ofString }: PlanCell, drawn: Uint32Array): Uint32Array[] {
  const byString = new Map<number, number[]>()
  for (let trial = 0; trial < n; trial++)
    byString.set(ofString[trial], [...(byString.get(ofString[trial]) ?? []), trial])
  const some = Array.from(drawn).flatMap((string) => byString.get(string) ?? [])
  const all = some.length > 0 ? some : Array.from({ length: n }, (_, trial) => trial)
  const sorts = [0, 1, 2].map((far) => all.filter((trial) => farOf(detuneCents[trial]) === far))
  const [near, off, far] = sorts
  const first = (...lists: (readonly number[] | undefined)[]): Uint32Array =>
    Uint32Array.from(lists.find((list) => list !== undefined && list.length > 0) ?? all)
  return [first(near, off, far), first(off, near, far), first(far, off, near)]
}
