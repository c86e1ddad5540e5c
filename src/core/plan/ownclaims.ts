/**
 * What belongs to a string in a method's claims, and stays with it all evening; and what does not.
 *
 * A repeat of a study is one string, heard at every ratio (of the preset `plan`: plucked anew each time, off its note and hard as chance has
 * it). What its claims are off by in the middle of the ratios is the string's own, known as well as a median of so few is: what
 * that leaves open is taken back from it (shrunk towards what is usual; Efron & Morris 1975, JASA 70:311-319) and stays with the
 * plucks, whose distances from their own median are too short by as much.
 *
 * Whole takes in quiet tell less: a method that claims early and in noise weighs other partials at another time. On a bass E1 its
 * claims lay from -5.3 to 8.3 c (5 to 95 %) off the median readings of whole quiet takes, and from -1.9 to 1.9 c off what they had
 * in common; drawn about the former, an evening was predicted a fifth too slow (tests/bench/closed-loop.md).
 */
import { mad, median } from '../maths/statistics.ts'

/** Of one method on one string, cents. */
export interface ClaimParts {
  /** Of each trial's string. */
  readonly ownCents: Float64Array
  /** [ratio], an entry a trial: claim less what is usual for its string; NaN without a claim. */
  readonly noiseCents: readonly Float64Array[]
}

/** The median of fewer claims is one that noise may have spoilt. */
const fewestClaims = 3
/** Median of n normal values: variance pi / 2 of one over n, covariance with each of them one over n of one. */
const medianVariance = Math.PI / 2
const shortBy = 2 - medianVariance
/** Standard deviation of normal data over their median distance from the median. */
const normalSpread = 1.4826

/**
 * `errorCents`: [ratio], an entry a trial, as many at each; NaN without a claim. A trial with too few claims has what is usual for the
 * others; where all have too few, as from two ratios, nothing is told of single strings, and what claims differ by is the plucks'.
 */
export function partsOfClaims(errorCents: readonly Float64Array[]): ClaimParts {
  const n = errorCents[0]?.length ?? 0
  const counts = Uint32Array.from({ length: n }, (_, trial) =>
    errorCents.reduce((count, cents) => count + (Number.isNaN(cents[trial]) ? 0 : 1), 0),
  )
  const middles = Float64Array.from({ length: n }, (_, trial) =>
    counts[trial] < fewestClaims ? Number.NaN : median(errorCents.map((cents) => cents[trial])),
  )
  const told = median(middles)
  if (Number.isNaN(told)) return undivided(errorCents, n)
  const aside = (cents: number, trial: number): number =>
    (cents - middles[trial]) / Math.sqrt(1 - shortBy / counts[trial])
  const noise = normalSpread * mad(errorCents.flatMap((cents) => Array.from(cents, aside)))
  const spread = normalSpread * mad(middles)
  const claims = median(Array.from(counts).filter((count) => count >= fewestClaims))
  const open = medianVariance * (noise ** 2 / claims)
  const trust = spread > 0 ? Math.max(0, 1 - open / spread ** 2) : 0
  return {
    ownCents: middles.map((middle) => (Number.isNaN(middle) ? told : told + trust * (middle - told))),
    noiseCents: errorCents.map((cents) =>
      cents.map((value, trial) => (Number.isNaN(middles[trial]) ? value - told : aside(value, trial))),
    ),
  }
}

function undivided(errorCents: readonly Float64Array[], n: number): ClaimParts {
  const usual = median(errorCents.flatMap((cents) => Array.from(cents)))
  return {
    // Without a single claim nothing is ever drawn from it.
    ownCents: new Float64Array(n).fill(Number.isNaN(usual) ? 0 : usual),
    noiseCents: errorCents.map((cents) => cents.map((value) => value - usual)),
  }
}
