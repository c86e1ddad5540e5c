/**
 * Which recorded pluck an imagined one is, and on which string: the room's draw, one of the cell's trials with the string about as far off, and now and
 * then (one more than there are) one of the next noisier cell, for what was too rare to be recorded. What a string itself gives a
 * method's claims stays with it, so it is drawn once an evening; only what noise and force did is drawn pluck by pluck.
 */
import { randomStream } from '../maths/random.ts'
import type { Draws } from './draws.ts'
import { cellIndexAt, nearCents, type PlanCell, type PlanRecords } from './records.ts'

interface Lists {
  /** Trials with the string nearly in tune, and those far off; either stands in for the other where there are none. */
  readonly near: Uint32Array
  readonly far: Uint32Array
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
  #ownCents = 0
  readonly #records: PlanRecords
  readonly #lists: readonly (readonly Lists[])[]

  /** `resampledBy`: draws trials anew within each cell, for intervals; null: as recorded. */
  constructor(records: PlanRecords, resampledBy: number | null = null) {
    this.#records = records
    this.#lists = records.cells.map((cells, string) =>
      cells.map((cell, ratio) => {
        const lists = listsOf(cell)
        if (resampledBy === null) return lists
        const random = randomStream(resampledBy, 'resampled', string, ratio)
        const again = (list: Uint32Array): Uint32Array => list.map(() => list[random.whole(list.length)])
        return { near: again(lists.near), far: again(lists.far) }
      }),
    )
  }

  draw(episode: number, string: number, method: number, snrDb: number, residualCents: number, draws: Draws): void {
    const { cells, snrsDb, unseen, offsetsCents, ownCents } = this.#records
    const { n } = cells[string][0]
    const own = method * n + Math.floor(draws.stringOf(episode, string) * n)
    this.offsetCents = offsetsCents[string][own]
    this.#ownCents = ownCents[string][own]
    const index = cellIndexAt(snrsDb, snrDb)
    const far = Math.abs(residualCents) > nearCents
    const list = listFor(this.#lists[string][index], far)
    const place = Math.floor(draws.trial * (list.length + (unseen ? 1 : 0)))
    if (place < list.length) {
      this.#take(string, cells[string][index], method, list[place])
      return
    }
    if (index === 0) {
      // Nothing noisier was recorded: the unseen pluck is one that never settles.
      this.lockS = Number.NaN
      this.errorCents = Number.NaN
      return
    }
    const worse = listFor(this.#lists[string][index - 1], far)
    this.#take(string, cells[string][index - 1], method, worse[Math.floor(draws.worseTrial * worse.length)])
  }

  #take(string: number, cell: PlanCell, method: number, trial: number): void {
    const at = method * cell.n + trial
    this.lockS = cell.lockS[at]
    this.errorCents = cell.errorCents[at] - this.#records.ownCents[string][at] + this.#ownCents
  }
}

const listFor = ({ near, far }: Lists, isFar: boolean): Uint32Array => (isFar ? far : near)

function listsOf({ n, detuneCents }: PlanCell): Lists {
  const all = Uint32Array.from({ length: n }, (_, trial) => trial)
  const near = all.filter((trial) => Math.abs(detuneCents[trial]) <= nearCents)
  const far = all.filter((trial) => Math.abs(detuneCents[trial]) > nearCents)
  return { near: near.length === 0 ? far : near, far: far.length === 0 ? near : far }
}
