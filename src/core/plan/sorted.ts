/** Recorded plucks put in rows, so that those that may stand for one are soon found. */
import { kindsOf, ofKindShare, placesOf } from './alike.ts'
import type { PlanCell, PlanRecords } from './records.ts'
import { ByForceSteps, StandIns } from './standins.ts'

/** Plucks of strings of one kind, or of all; the softest first. */
interface Row {
  readonly standIns: StandIns
  /** [perPluck * place + what]: side by side, for a plan asks for them millions of times, here and there. */
  readonly told: Float64Array
}
/** What: lock time, and spread and noise as ownclaims.ts tells. */
export const perPluck = 3

export interface Recorded {
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

/** What is the same however strings are drawn: of one method on one kind of string. */
export interface Sorted {
  /** Of each recorded string: its place among all of them, in [0, 1). */
  readonly places: Float64Array
  readonly offsetsCents: Float64Array
  /** [ratio], of this method alone. */
  readonly cells: readonly SortedCell[]
}

interface SortedCell extends Pick<PlanCell, 'n' | 'harderDb' | 'detuneCents' | 'ofString'> {
  /** Trials, the softest first. */
  readonly softestFirst: Uint32Array
  readonly lockS: Float64Array
  readonly usualCents: Float64Array
  readonly spreadCents: Float64Array
  readonly noise: Float64Array
  readonly own: Float64Array
  readonly wide: Float64Array
  readonly ofKind: number
}

export function sortedFrom({ cells, methods, offsetsCents }: PlanRecords, string: number, method: number): Sorted {
  const strings = offsetsCents[string].length / methods.length
  const of = (values: Float64Array, n: number): Float64Array => values.subarray(method * n, (method + 1) * n)
  const ofMethod = cells[string].map((cell) => ({
    ...{ n: cell.n, harderDb: cell.harderDb, detuneCents: cell.detuneCents, ofString: cell.ofString },
    softestFirst: Uint32Array.from({ length: cell.n }, (_, trial) => trial).sort(
      (a, b) => cell.harderDb[a] - cell.harderDb[b],
    ),
    ...{ lockS: of(cell.lockS, cell.n), usualCents: of(cell.usualCents, cell.n) },
    ...{ spreadCents: of(cell.spreadCents, cell.n), noise: of(cell.noise, cell.n) },
    ...{ own: of(cell.own, strings), wide: of(cell.wide, strings) },
  }))
  const places = placesOf(ofMethod, strings)
  return {
    places,
    offsetsCents: of(offsetsCents[string], strings),
    cells: ofMethod.map((cell) => ({ ...cell, ofKind: ofKindShare(cell, places, kindsOf(cell.n)) })),
  }
}

/** `drawn`: recorded strings, some of them more than once; each comes with all of its plucks. */
export function recordedOf({ places, cells }: Sorted, drawn: Uint32Array, ratio: number): Recorded {
  const cell = cells[ratio]
  const { harderDb, detuneCents, ofString, lockS, spreadCents, noise, own, wide, ofKind, n } = cell
  const row = (trials: Uint32Array): Row => {
    const told = new Float64Array(perPluck * trials.length)
    for (const [at, trial] of trials.entries())
      told.set([lockS[trial], spreadCents[trial], noise[trial]], perPluck * at)
    return { standIns: new StandIns(trials, pickedOf(harderDb, trials), pickedOf(detuneCents, trials)), told }
  }
  const trials = trialsOf(cell, drawn, places.length)
  const all = row(trials)
  const kinds = kindsOf(n)
  return {
    ...{ all, ofKind, own, wide },
    usualCents: new ByForceSteps(pickedOf(harderDb, trials), pickedOf(cell.usualCents, trials)),
    kinds: Array.from({ length: kinds }, (_, kind) => {
      const those = trials.filter((trial) => Math.floor(places[ofString[trial]] * kinds) === kind)
      return those.length === 0 ? all : row(those)
    }),
  }
}

const pickedOf = (values: Float64Array, trials: Uint32Array): Float64Array =>
  Float64Array.from(trials, (trial) => values[trial])

/** The softest first: trials of the strings drawn, as often as each was; all trials where none of them was plucked. */
function trialsOf({ softestFirst, ofString }: SortedCell, drawn: Uint32Array, strings: number): Uint32Array {
  const times = new Uint32Array(strings)
  for (const string of drawn) times[string]++
  const trials: number[] = []
  for (const trial of softestFirst) for (let time = 0; time < times[ofString[trial]]; time++) trials.push(trial)
  return trials.length > 0 ? Uint32Array.from(trials) : softestFirst
}
