/**
 * What one partial may say among the others: how much its ratio to the noise is worth as evidence, and how strong it is by itself
 * and by its neighbours. The same for every fit of a whole string.
 */

/**
 * A partial's ratio of powers is exponential in noise alone: what it exceeds this by is evidence in nepers, softly.
 * Weaker partials say nothing, so many silent ones do not drown the few that sound, as they do in a sum of logarithms.
 */
const quietRatio = 3
/** One foreign line, however loud, is no string: at least three partials must speak. */
const loudestCounted = 12

/** Nepers. */
export const worthOf = (ratio: number): number =>
  Math.min(loudestCounted, Math.log(1 + Math.exp(Math.min(ratio, 500) - quietRatio)))

/** Under this ratio nobody can tell whether a partial is bent: it is heard for the little it says. */
export const judgedRatio = 4

/** A partial that is not there must not hold the law in place by what its neighbours have. */
const mostOverSeen = 4

/** Measured at -10 and -5 dB white, E2 to E4: widths 2 to 6 and shares 0 to 0.5 differ by 5 %, these are among the best. */
const neighbours = 4
const ownShare = 0.2

/**
 * The string's own power of partial k + 1: mostly its neighbours', as levels fall with 1 / k^2, and not many times `seen`. `own`:
 * each partial's power less noise, of which the first `count` are looked at.
 */
export function evenedPower(own: Float64Array, k: number, count: number, seen: number): number {
  const low = Math.max(0, k - neighbours)
  const high = Math.min(count - 1, k + neighbours)
  let sum = 0
  for (let j = low; j <= high; j++) sum += own[j] * ((j + 1) / (k + 1)) ** 2
  const evened = Math.max(0, ownShare * own[k] + ((1 - ownShare) * sum) / (high - low + 1))
  return Math.min(evened, mostOverSeen * seen)
}
