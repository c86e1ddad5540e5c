/**
 * What belongs to a string in a method's claims, and stays with it all evening.
 *
 * A repeat of a study is one string, plucked once at every ratio, always with the same force. What its claims are off by in the
 * middle of the ratios is what its partials do and the glide of its pluck; what noise did at one ratio is not in it. What
 * plucks of about the same force have in common is taken out, for an evening's plucks are of uneven force. One line for all would not do:
 * a hard pluck glides far, but a method then claims later, when less of the glide is left.
 *
 * Whole takes in quiet tell less: a method that claims early and in noise weighs other partials at another time. On a bass E1 its
 * claims lay from -5.3 to 8.3 c (5 to 95 %) off the median readings of whole quiet takes, and from -1.9 to 1.9 c off what they had
 * in common; drawn about the former, an evening was predicted a fifth too slow (tests/bench/closed-loop.md).
 */
import { median } from '../maths/statistics.ts'
import type { PlanCell } from './records.ts'

/** The median of fewer claims is one that noise may have spoilt. */
const fewestClaims = 3

/**
 * Plucks next to one in force, itself among them, that tell what its force does: by a line (Theil-Sen: median slope, so that an octave
 * error does not turn it), for at the ends all of them stand to one side.
 */
const alikeInForce = 15

/**
 * Of one method on one string, an entry a trial, cents. `cells`: of all ratios, as many trials in each. `harderDb`: than usual.
 * A trial with too few claims has what is usual for the others; null: no trial has enough, or too few ratios were recorded.
 */
export function ownOfClaims(cells: readonly PlanCell[], method: number, harderDb: Float64Array): Float64Array | null {
  const common = harderDb.map((_, trial) => {
    const claims = cells.map((cell) => cell.errorCents[method * cell.n + trial] ?? Number.NaN)
    return claims.filter(Number.isFinite).length < fewestClaims ? Number.NaN : median(claims)
  })
  const rising = Array.from(common.keys())
    .filter((trial) => !Number.isNaN(common[trial]))
    .sort((a, b) => harderDb[a] - harderDb[b] || a - b)
  if (rising.length === 0) return null
  const around = (db: number): number => {
    const place = rising.filter((trial) => harderDb[trial] < db).length
    const from = Math.max(0, Math.min(place - Math.floor(alikeInForce / 2), rising.length - alikeInForce))
    return onLine(rising.slice(from, from + alikeInForce), harderDb, common, db)
  }
  const usual = around(0)
  const own = new Float64Array(common.length).fill(usual)
  for (const trial of rising) own[trial] = common[trial] - around(harderDb[trial]) + usual
  return own
}

/** What the line through some trials has at `db`; plucks all of one force: their median. */
function onLine(trials: readonly number[], harderDb: Float64Array, cents: Float64Array, db: number): number {
  const slopes = trials.flatMap((a, i) =>
    trials
      .slice(0, i)
      .flatMap((b) => (harderDb[a] === harderDb[b] ? [] : (cents[a] - cents[b]) / (harderDb[a] - harderDb[b]))),
  )
  const slope = slopes.length === 0 ? 0 : median(slopes)
  return median(trials.map((trial) => cents[trial] - slope * (harderDb[trial] - db)))
}
