/**
 * Plucks in a row by their force, and which of them are about as hard as a wanted one.
 *
 * A hard pluck glides and stands higher over the room, a soft one does neither: over 4 dB of spread that moves claims more than
 * strings and noise do (electric A2, pink noise at 20 dB: 1.0 c sharp when soft, 3.7 c when hard, 0.5 c beside), and it is the soft ones
 * that are lost. So a pluck is stood for by plucks as hard.
 */
import { mean, median } from '../maths/statistics.ts'

/** Plucks this much apart count as equally hard, dB: the glide is then a quarter longer or shorter. */
export const asHardDb = 1

/** A window of a rising row; moved by `find`. */
export class AsHard {
  from = 0
  to = 0
  readonly #harderDb: Float64Array

  /** `harderDb`: rising. */
  constructor(harderDb: Float64Array) {
    this.#harderDb = harderDb
  }

  /** What `values`, one a pluck, are at `db`: straight from one pluck to the next, level beyond the ends. */
  at(values: Float64Array, db: number): number {
    const row = this.#harderDb
    const next = this.#firstFrom(0, db)
    if (next === 0) return values[0]
    if (next === row.length) return values[next - 1]
    const share = (db - row[next - 1]) / (row[next] - row[next - 1])
    return values[next - 1] + share * (values[next] - values[next - 1])
  }

  /** Those within `asHardDb` of `db`; where they are too few, the `fewest` nearest. */
  find(db: number, fewest: number): void {
    const row = this.#harderDb
    let from = this.#firstFrom(0, db - asHardDb)
    let to = this.#firstFrom(from, db + asHardDb)
    const wanted = Math.min(fewest, row.length)
    while (to - from < wanted) {
      if (from === 0) to++
      else if (to === row.length || db - row[from - 1] < row[to] - db) from--
      else to++
    }
    this.from = from
    this.to = to
  }

  /** First place from `first` on whose force is `db` or more. */
  #firstFrom(first: number, db: number): number {
    let [low, high] = [first, this.#harderDb.length]
    while (low < high) {
      const middle = (low + high) >> 1
      if (this.#harderDb[middle] < db) low = middle + 1
      else high = middle
    }
    return low
  }
}

/** Where fewer are as hard, at the ends of the row: a median of 15 has a third of their spread. */
const fewestAsked = 15

/**
 * What is usual of plucks as hard: `cents[i]` of a pluck `harderDb[i]` over the usual one, NaN is not asked. Answers an entry for each of
 * `wantedDb`; NaN where nothing is told. No curve is assumed: what is claimed is neither a line in dB nor in power, for a hard
 * pluck is claimed later, when the glide is nearly over.
 */
export const usualByForce = (cents: Float64Array, harderDb: Float64Array, wantedDb: Float64Array): Float64Array =>
  askedByForce(cents, harderDb, wantedDb, median)

/** Of plucks as hard as each: the share that is NaN. */
export function asHardShares(values: Float64Array, harderDb: Float64Array): Float64Array {
  const isNone = values.map((value) => (Number.isNaN(value) ? 1 : 0))
  return askedByForce(isNone, harderDb, harderDb, mean)
}

function askedByForce(
  values: Float64Array,
  harderDb: Float64Array,
  wantedDb: Float64Array,
  ask: (values: Float64Array) => number,
): Float64Array {
  const row = Uint32Array.from({ length: values.length }, (_, i) => i)
    .filter((i) => !Number.isNaN(values[i]))
    .sort((a, b) => harderDb[a] - harderDb[b])
  const window = new AsHard(Float64Array.from(row, (i) => harderDb[i]))
  const told = Float64Array.from(row, (i) => values[i])
  return wantedDb.map((db) => {
    window.find(db, fewestAsked)
    return ask(told.subarray(window.from, window.to))
  })
}
