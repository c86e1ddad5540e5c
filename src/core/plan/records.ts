/**
 * What a plan needs to know of each method: for every string and ratio, what each recorded pluck led to.
 *
 * Lock time and claim error stand together and under one trial index for all methods, so that what one room moment does to one
 * method it does to all. The sign of an error is kept, and how far off and how hard each was plucked: a first pluck is not like a last
 * one. Source of the rows: a run of the preset `plan`, or anything recorded alike.
 */
import { Problem } from '../problem.ts'

export interface PlanCell {
  readonly snrDb: number
  /** Recorded plucks of this string at this ratio. */
  readonly n: number
  /** Of each trial: how far the string was off, cents. */
  readonly detuneCents: Float64Array
  /** How much harder than usual it was plucked, dB: `snrDb` is the ratio of a pluck of usual force. */
  readonly harderDb: Float64Array
  /** Which of the recorded strings of its kind was plucked, 0, 1, ...: the same numbers in all of the string's cells. */
  readonly ofString: Uint32Array
  /** Method-major, [method * n + trial]. Seconds from pluck to claim; NaN: no claim inside the take. */
  readonly lockS: Float64Array
  /** Claim minus truth, cents; NaN without a claim. */
  readonly errorCents: Float64Array
  /** As many each: the same taken apart (ownclaims.ts). */
  readonly usualCents: Float64Array
  readonly spreadCents: Float64Array
  readonly noise: Float64Array
  /** Method-major, [method * k + one of the string's k recorded ones]: what that string gives the method's claims. */
  readonly own: Float64Array
  readonly wide: Float64Array
}

export interface PlanString {
  readonly id: string
  readonly title: string
  readonly targetHz: number
  /** Of the tuning peg, on a rigid bridge. */
  readonly centsPerDegree: number
  /** E A / L, N/mm. */
  readonly stiffnessNPerMm: number
  readonly tensionN: number
}

export interface PlanMethod {
  /** The study's name for it (score/summary.ts): the method's own id where it stands there once. */
  readonly id: string
}

export interface PlanRecords {
  readonly room: string
  readonly strings: readonly PlanString[]
  readonly methods: readonly PlanMethod[]
  /**
   * [string], method-major [method * k + one of its k recorded strings]: what the method reads off the truth on it in quiet, at usual force,
   * cents. The same string keeps it for an evening.
   */
  readonly offsetsCents: readonly Float64Array[]
  /** Ratios recorded, rising. */
  readonly snrsDb: readonly number[]
  /** [string][ratio] */
  readonly cells: readonly (readonly PlanCell[])[]
  /** Longest that a claim was waited for, s. */
  readonly waitedS: number
  /** Whether one draw in n + 1 stands for what is too rare to have been recorded. */
  readonly unseen: boolean
}

/** Under this many plucks a cell's tails are not quoted. */
export const fewestPlucks = 50

/** Nearly in tune: what a turn leaves. Such plucks tell what is a string's own. */
export const nearCents = 10

/**
 * The cell a ratio is drawn from: the nearest recorded one that is not quieter. Past the noisiest there is nothing to draw
 * from: the noisiest stands in (its own last draw is the one for unseen worse things).
 */
export function cellIndexAt(snrsDb: readonly number[], snrDb: number): number {
  let index = 0
  while (index + 1 < snrsDb.length && snrsDb[index + 1] <= snrDb) index++
  return index
}

/** @throws Problem when a plan at this ratio would rest on nothing recorded. */
export function checkRange({ snrsDb, room }: PlanRecords, snrDb: number): void {
  const [lowest, highest] = [snrsDb[0], snrsDb[snrsDb.length - 1]]
  if (snrDb < lowest || snrDb > highest) {
    throw new Problem(
      `${snrDb} dB is outside what was recorded in ${room}, ${lowest} to ${highest} dB: record it with sweep plan --snr`,
      'snrDb',
    )
  }
}

/** That a ratio between recorded ones is planned for as the next noisier one, in words; null: it was recorded. */
export function snappedOf({ snrsDb }: Pick<PlanRecords, 'snrsDb'>, snrDb: number): string | null {
  const recordedDb = snrsDb[cellIndexAt(snrsDb, snrDb)]
  return recordedDb === snrDb
    ? null
    : `Nothing was recorded at ${snrDb} dB: counted as at ${recordedDb} dB, the next noisier ratio`
}

/** Cells with fewer plucks than tails need, in words; null: all have enough. */
export function shortOf(records: PlanRecords): string | null {
  const short = records.strings.flatMap((string, i) =>
    records.cells[i].filter(({ n }) => n < fewestPlucks).map(({ snrDb, n }) => `${string.title} at ${snrDb} dB: ${n}`),
  )
  if (short.length === 0) return null
  return `Fewer than ${fewestPlucks} plucks were recorded for ${short.length} of ${records.strings.length * records.snrsDb.length} cells (${short.slice(0, 3).join('; ')}${short.length > 3 ? '; …' : ''})`
}
