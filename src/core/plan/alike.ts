/**
 * Which recorded plucks may stand for those of one string: those of strings that cost the method about as many claims.
 *
 * Whether a method claims is largely the string's own doing: of ten plucks each at 7 dB in stage noise, 24 strings of the kind E1
 * cost partial-fit none to all ten (variance of the counts 12.4; 2.4 if all strings were one; seed 3). A string keeps that for
 * an evening; were its plucks drawn from all strings, a plan would spread over evenings what in truth heaps up on some.
 *
 * A repeat of a study is one string, plucked once at every ratio. How many claims it cost at the *other* ratios tells its kind: with
 * its loss at the very ratio counted in, chance alone would seem to be the string's.
 */
import type { PlanCell } from './records.ts'

/** As finely as 50 plucks of a cell allow: some 16 of each kind. */
const kindCount = 3

/** So few of one kind are not enough to draw from: all of the cell are. */
const fewestOfKind = 8

/** Plucks of one cell, those of strings that cost fewest claims first. */
export interface AlikePlucks {
  /** Trials. */
  readonly trials: Uint32Array
  /** A string at the part (i + .5) / n of the row is stood for by `trials[from[i]]` up to but not `trials[to[i]]`. */
  readonly from: Uint32Array
  readonly to: Uint32Array
}

/** Of each trial: at how many ratios the method never claimed. */
export function lostOf(cells: readonly PlanCell[], method: number): Uint32Array {
  const lost = new Uint32Array(Math.max(...cells.map(({ n }) => n)))
  for (const { n, lockS } of cells)
    for (let trial = 0; trial < n; trial++) if (Number.isNaN(lockS[method * n + trial])) lost[trial]++
  return lost
}

/** Of each trial's string: its place among all, fewest claims lost first, in [0, 1). Equals stand in their order. */
export function placesOf(lost: Uint32Array): Float64Array {
  const places = new Float64Array(lost.length)
  for (const [at, trial] of rising(
    lost.map((_, trial) => trial),
    lost,
  ).entries())
    places[trial] = (at + 0.5) / lost.length
  return places
}

/**
 * `trials` of one cell by kinds; `lockS` of all its trials, `lost` at all ratios. Strings that cost as many claims at the others are of
 * one kind.
 */
export function alikeOf(lockS: Float64Array, lost: Uint32Array, trials: Uint32Array): AlikePlucks {
  const elsewhere = lost.map((count, trial) => count - (Number.isNaN(lockS[trial]) ? 1 : 0))
  const row = rising(trials, elsewhere)
  const { length } = row
  const kinds = new Uint8Array(length)
  for (let from = 0, to = 0; from < length; from = to) {
    while (to < length && elsewhere[row[to]] === elsewhere[row[from]]) to++
    kinds.fill(Math.floor((kindCount * (from + to)) / 2 / length), from, to)
  }
  const [from, to] = [new Uint32Array(length), new Uint32Array(length)]
  for (let start = 0, end = 0; start < length; start = end) {
    while (end < length && kinds[end] === kinds[start]) end++
    const few = end - start < fewestOfKind
    from.fill(few ? 0 : start, start, end)
    to.fill(few ? length : end, start, end)
  }
  return { trials: row, from, to }
}

const rising = (trials: Uint32Array, lost: Uint32Array): Uint32Array =>
  trials.slice().sort((a, b) => lost[a] - lost[b] || a - b)
