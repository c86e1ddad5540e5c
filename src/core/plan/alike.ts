/**
 * Which recorded plucks may stand for those of one string: those of strings that cost the method about as many claims.
 *
 * Whether a method claims is largely the string's own doing: of ten plucks each at 7 dB in stage noise, 24 strings of the kind E1
 * cost partial-fit none to all ten (variance of the counts 12.4; 2.4 if all strings were one; seed 3). A string keeps that for
 * an evening; were its plucks drawn from all strings, a plan would spread over evenings what in truth heaps up on some.
 *
 * Strings are put in a row by what they lost beside other plucks as hard, and the row is cut into kinds. Chance has its part in that, so kinds
 * lie farther apart than strings do; how far strings do is told by what two plucks of one string have in common. So a pluck is one
 * of the string's kind as often as makes both equal, and else one of any string.
 */
import { asHardShares } from './byforce.ts'
import type { PlanCell } from './records.ts'

/** Plucks that a kind has about: a few of them are as hard and as far off as a usual one (standins.ts). */
const plucksOfKind = 50
/** What four plucks tell that are lost half of the time: a string of which less is known counts as nearly usual. */
const doubt = 1

type Lost = Pick<PlanCell, 'n' | 'harderDb' | 'ofString'> & { readonly lockS: Float64Array }

/** Of each of `strings`: its place among all, fewest claims lost first, in [0, 1). `cells`: of one method; no claim: NaN. */
export function placesOf(cells: readonly Lost[], strings: number): Float64Array {
  const [beside, information] = [new Float64Array(strings), new Float64Array(strings).fill(doubt)]
  for (const { lockS, harderDb, ofString } of cells) {
    const shares = asHardShares(lockS, harderDb)
    for (const [pluck, share] of shares.entries()) {
      beside[ofString[pluck]] += (Number.isNaN(lockS[pluck]) ? 1 : 0) - share
      information[ofString[pluck]] += share * (1 - share)
    }
  }
  const places = new Float64Array(strings)
  const row = Array.from(beside.keys()).sort((a, b) => beside[a] / information[a] - beside[b] / information[b] || a - b)
  for (const [at, string] of row.entries()) places[string] = (at + 0.5) / strings
  return places
}

/** Into how many kinds so many plucks are cut. */
export const kindsOf = (plucks: number): number => Math.max(1, Math.floor(plucks / plucksOfKind))

/** How often a pluck is one of its string's kind, 0 to 1. 0: nothing says that strings differ. */
export function ofKindShare({ n, ofString, lockS }: Lost, places: Float64Array, kinds: number): number {
  const lost = Float64Array.from(lockS, (s) => (Number.isNaN(s) ? 1 : 0))
  const share = lost.reduce((sum, one) => sum + one, 0) / n
  const strings = commonOf(lost, ofString, share, places.length)
  const ofKind = Array.from({ length: kinds }, () => ({ lost: 0, n: 0 }))
  for (const [pluck, one] of lost.entries()) {
    const kind = ofKind[Math.floor(places[ofString[pluck]] * kinds)]
    kind.lost += one
    kind.n++
  }
  const apart = ofKind.reduce(
    (sum, kind) => sum + (kind.n === 0 ? 0 : (kind.n / n) * (kind.lost / kind.n - share) ** 2),
    0,
  )
  return strings > 0 && apart > 0 ? Math.min(1, Math.sqrt(strings / apart)) : 0
}

/** Variance over strings of the chance that a pluck is lost: what two plucks of one string have in common. NaN: there are no two. */
function commonOf(lost: Float64Array, ofString: Uint32Array, share: number, strings: number): number {
  const [sums, squares, counts] = [0, 1, 2].map(() => new Float64Array(strings))
  for (const [pluck, one] of lost.entries()) {
    sums[ofString[pluck]] += one - share
    squares[ofString[pluck]] += (one - share) ** 2
    counts[ofString[pluck]]++
  }
  let [products, pairs] = [0, 0]
  for (let string = 0; string < strings; string++) {
    products += sums[string] ** 2 - squares[string]
    pairs += counts[string] * (counts[string] - 1)
  }
  return products / pairs
}
