/**
 * What belongs to a string in a method's claims, and stays with it all evening.
 *
 * A repeat of a study is one string, plucked once at every ratio, always with the same force. What its claims are off by in the
 * middle of the ratios is what its partials do and the glide of its pluck; what noise did at one ratio is not in it. The
 * share that goes with force is taken out (usualforce.ts): an evening's plucks are of uneven force.
 *
 * Whole takes in quiet tell less: a method that claims early and in noise weighs other partials at another time. On a bass E1 its
 * claims lay from -5.3 to 8.3 c (5 to 95 %) off the median readings of whole quiet takes, and from -1.9 to 1.9 c off what they had
 * in common; drawn about the former, an evening was predicted a fifth too slow (tests/bench/closed-loop.md).
 */
import { median } from '../maths/statistics.ts'
import type { PlanCell } from './records.ts'
import { atUsualForce } from './usualforce.ts'

/** The median of fewer claims is one that noise may have spoilt. */
const fewestClaims = 3

/**
 * Of one method on one string, an entry a trial, cents. `cells`: of all ratios, as many trials in each.
 * A trial with too few claims has what is usual for the others; null: no trial has enough, or too few ratios were recorded.
 */
export function ownOfClaims(cells: readonly PlanCell[], method: number, harderDb: Float64Array): Float64Array | null {
  const n = harderDb.length
  const common = Float64Array.from({ length: n }, (_, trial) => {
    const claims = cells.map((cell) => cell.errorCents[method * cell.n + trial] ?? Number.NaN)
    return claims.filter(Number.isFinite).length < fewestClaims ? Number.NaN : median(claims)
  })
  const own = atUsualForce(common, harderDb)
  const usual = median(own)
  return Number.isNaN(usual) ? null : own.map((cents) => (Number.isNaN(cents) ? usual : cents))
}
