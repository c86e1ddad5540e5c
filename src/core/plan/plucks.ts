/**
 * Which recorded pluck an imagined one is, and on which string: one of the cell's trials with the string about as far off and of the
 * evening's kind (alike.ts), and now and then (one more than there are) one of the next noisier cell, for what was too rare to be
 * recorded. What a string itself gives a method's claims, and whether it lets it claim, stays with it, so the string is drawn once
 * an evening; only what noise and force did is drawn pluck by pluck.
 */
import { type Random, randomStream } from '../maths/random.ts'
import { type AlikePlucks, alikeOf, lostOf, placesOf } from './alike.ts'
import type { Draws } from './draws.ts'
import { cellIndexAt, nearCents, type PlanCell, type PlanRecords } from './records.ts'

/** In the order of `alike`. */
interface Recorded {
  readonly alike: AlikePlucks
  readonly lockS: Float64Array
  /** Claim minus truth without what the trial's string itself gives, cents. */
  readonly noiseCents: Float64Array
}

/** Of one method on one string; one entry a trial's string where nothing else is said. */
interface Strings {
  /** Trials whose strings an evening's may be. */
  readonly drawn: Uint32Array
  /** Its place among all of them, in [0, 1). */
  readonly places: Float64Array
  readonly offsetsCents: Float64Array
  readonly ownCents: Float64Array
  /** [2 * ratio + (far ? 1 : 0)]; nearly in tune and far off stand in for each other where there are none. */
  readonly recorded: readonly Recorded[]
}

/** Where it comes from what a pluck led to: a recorded trial, or a string that is really heard (closedloop.ts). */
export interface PluckOutcomes {
  /** Of the last `draw`: s after the pluck (NaN: never), and claim minus truth, of which `offsetCents` is the string's own. */
  readonly lockS: number
  readonly errorCents: number
  readonly offsetCents: number
  /** `snrDb`: of this very pluck. `draws` stands at it. */
  draw(episode: number, string: number, method: number, snrDb: number, residualCents: number, draws: Draws): void
}

export class RecordedPlucks implements PluckOutcomes {
  lockS = Number.NaN
  errorCents = Number.NaN
  offsetCents = 0
  readonly #records: PlanRecords
  readonly #resampledBy: number | null
  /** [string][method], made when first asked for. */
  readonly #strings: (Strings | undefined)[][]

  /**
   * `resampledBy`: draws repeats anew, for intervals, by one stream for all ratios: a repeat's string is the same at each, so its trials are
   * no more independent than that. null: as recorded.
   */
  constructor(records: PlanRecords, resampledBy: number | null = null) {
    this.#records = records
    this.#resampledBy = resampledBy
    this.#strings = records.cells.map(() => [])
  }

  draw(episode: number, string: number, method: number, snrDb: number, residualCents: number, draws: Draws): void {
    const { snrsDb, unseen } = this.#records
    const strings = this.#strings[string][method] ?? this.#sorted(string, method)
    const own = strings.drawn[Math.floor(draws.stringOf(episode, string) * strings.drawn.length)]
    this.offsetCents = strings.offsetsCents[own]
    const index = cellIndexAt(snrsDb, snrDb)
    const at = 2 * index + (Math.abs(residualCents) > nearCents ? 1 : 0)
    const { length } = strings.recorded[at].lockS
    const seen = draws.trial * (length + (unseen ? 1 : 0))
    if (seen < length) {
      this.#take(strings, own, at, seen / length)
      return
    }
    if (index === 0) {
      // Nothing noisier was recorded: the unseen pluck is one that never settles.
      this.lockS = Number.NaN
      this.errorCents = Number.NaN
      return
    }
    this.#take(strings, own, at - 2, draws.worseTrial)
  }

  /** `drawn` in [0, 1): which of the plucks that may stand for one of this string. */
  #take({ places, ownCents, recorded }: Strings, own: number, at: number, drawn: number): void {
    const { alike, lockS, noiseCents } = recorded[at]
    const place = Math.floor(places[own] * lockS.length)
    const from = alike.from[place]
    const taken = from + Math.floor(drawn * (alike.to[place] - from))
    this.lockS = lockS[taken]
    this.errorCents = noiseCents[taken] + ownCents[own]
  }

  /** The same for every method: what one room moment does to one it does to all. */
  #drawsAnew(string: number, of: 'plucks' | 'strings'): Random | null {
    return this.#resampledBy === null ? null : randomStream(this.#resampledBy, 'resampled', of, string)
  }

  #sorted(string: number, method: number): Strings {
    const cells = this.#records.cells[string]
    const strings = cells[0].n
    const ofMethod = (values: Float64Array, n: number): Float64Array => values.subarray(method * n, (method + 1) * n)
    const lost = lostOf(cells, method)
    const recorded = cells.flatMap((cell) => {
      const random = this.#drawsAnew(string, 'plucks')
      const [lockS, noiseCents] = [ofMethod(cell.lockS, cell.n), ofMethod(cell.noiseCents, cell.n)]
      return nearAndFar(cell).map((trials): Recorded => {
        const drawn = random === null ? trials : trials.map(() => trials[random.whole(trials.length)])
        const alike = alikeOf(lockS, lost, drawn)
        return {
          alike,
          lockS: Float64Array.from(alike.trials, (trial) => lockS[trial]),
          noiseCents: Float64Array.from(alike.trials, (trial) => noiseCents[trial]),
        }
      })
    })
    const offsetsCents = ofMethod(this.#records.offsetsCents[string], strings)
    const ownCents = ofMethod(this.#records.ownCents[string], strings)
    const random = this.#drawsAnew(string, 'strings')
    const drawn = Uint32Array.from({ length: strings }, (_, trial) => (random === null ? trial : random.whole(strings)))
    const made = { drawn, places: placesOf(lost), offsetsCents, ownCents, recorded }
    this.#strings[string][method] = made
    return made
  }
}

function nearAndFar({ n, detuneCents }: PlanCell): [near: Uint32Array, far: Uint32Array] {
  const all = Uint32Array.from({ length: n }, (_, trial) => trial)
  const near = all.filter((trial) => Math.abs(detuneCents[trial]) <= nearCents)
  const far = all.filter((trial) => Math.abs(detuneCents[trial]) > nearCents)
  return [near.length === 0 ? far : near, far.length === 0 ? near : far]
}
