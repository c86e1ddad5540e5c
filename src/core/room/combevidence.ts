/**
 * Whether what stands at a string's partials is that string, or every second, third ... partial of a lower one, or a higher
 * one's partials at every second place.
 *
 * A comb aimed at 330 Hz is filled to the last place by a string of 82 Hz; what tells them apart lies between: a lower string
 * has partials at the places of its own comb that are none of the upper one's. A comb an octave too low is filled at
 * its even places only. (Every third and up: methods/comboverlap.ts.) Source: own.
 */
import { hasHoles } from '../methods/comboverlap.ts'

/** Upper strings of a set lie up to two octaves over the lowest; a fifth partial is the next that falls near one. */
const divisors = [2, 3, 4, 5] as const
/** Partials of the upper string that the places between are compared with. */
const comparedPartials = 3
/** Of a lower string something stands at more than one place between; one may be a tone of the room. */
const fewestBetween = 2
/** Power between over power at the comb's own places. A lower string has more between than there; a sympathetic one under 1 %. */
const mostBetween = 0.1
/** Power over noise at which a place counts. */
const leastOver = 3
/** Of all that a comb says; a full one has half of it at odd places. */
const leastOddShare = 0.3
const fewestOdd = 2
/** Nepers beyond what noise says by which a partial counts as heard. */
const leastWorth = 1

/** Power over noise at a frequency: what stands beyond what noise would. */
export type OverNoise = (hz: number) => { readonly over: number; readonly power: number }

/** True: a lower string's partials stand between those of `f1Hz`. */
export function isUpperOf(f1Hz: number, at: OverNoise): boolean {
  return divisors.some((divisor) => {
    let [own, between, count] = [0, 0, 0]
    for (let k = 1; k <= comparedPartials * divisor; k++) {
      const { over, power } = at((f1Hz * k) / divisor)
      if (over < leastOver) continue
      if (k % divisor === 0) own += power
      else {
        between += power
        count++
      }
    }
    return count >= fewestBetween && between > mostBetween * own
  })
}

/** True: the comb is filled throughout. `worth[k - 1]`: what partial k says beyond noise, nepers. */
export function isFull(worth: Float64Array, partials: number, fewest: number): boolean {
  let [all, odd, heard, oddHeard] = [0, 0, 0, 0]
  for (let k = 1; k <= partials; k++) {
    const own = worth[k - 1]
    all += own
    if (own >= leastWorth) heard++
    if (k % 2 === 0) continue
    odd += own
    if (own >= leastWorth) oddHeard++
  }
  if (heard < Math.min(fewest, partials) || oddHeard < Math.min(fewestOdd, partials >> 1)) return false
  return odd >= leastOddShare * all && !hasHoles(worth, partials)
}
