/**
 * What belongs to a string in a method's claims, and stays with it all evening.
 *
 * A repeat of a study is one string, plucked once at every ratio, always with the same force. What its claims are off by in the
 * middle of the ratios is what its partials do and the glide of its pluck; what noise did at one ratio is not in it. What
 * plucks of about the same force have in common is taken out, for an evening's plucks are of uneven force. No line would do: a
 * hard pluck glides far, but a method then claims later, when less of the glide is left.
 *
 * Whole takes in quiet tell less: a method that claims early and in noise weighs other partials at another time. On a bass E1 its
 * claims lay from -5.3 to 8.3 c (5 to 95 %) off the median readings of whole quiet takes, and from -1.9 to 1.9 c off what they had
 * in common; drawn about the former, an evening was predicted a fifth too slow (tests/bench/closed-loop.md).
 */
import { median } from '../maths/statistics.ts'
import type { PlanCell } from './records.ts'

/** The median of fewer claims is one that noise may have spoilt. */
const fewestClaims = 3

/** Plucks next to one in force, itself among them, that tell what its force does: medians of so many are off by a third of the plucks' own spread. */
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
  const around = (place: number): number => {
    const from = Math.max(0, Math.min(place - Math.floor(alikeInForce / 2), rising.length - alikeInForce))
    return median(rising.slice(from, from + alikeInForce).map((trial) => common[trial]))
  }
  const usual = around(rising.filter((trial) => harderDb[trial] < 0).length)
  const own = new Float64Array(common.length).fill(usual)
  for (const [place, trial] of rising.entries()) own[trial] = common[trial] - around(place) + usual
  return own
}
