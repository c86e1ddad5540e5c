/**
 * Tells a string from another string's partials that fall on every third, fourth ... place of the comb aimed at.
 *
 * A string a fourth up has its partials 3, 6, 9 where partials 4, 8, 12 of the note in hand are sought, another a semitone off
 * that has every fifth or seventh: whoever only adds up what stands at the comb's places finds plenty. What a comb says at
 * places that are no multiple of m must therefore be a fair part of all it says, for m = 3 to 8. A pick or a pickup silences
 * multiples of a number too, never all but them; octaves are left alone (a string may lack its odd partials less than its
 * even ones, and half of the note in hand lies far outside what is searched). Source: own.
 */

const multiples = [3, 4, 5, 6, 7, 8] as const

/** Of a full comb two thirds or more stand elsewhere; of a foreign one nothing but noise and skirts. */
const fairShare = 0.3

/** `worth[k - 1]`: how much partial k says, 0 or more. True: it is all said by multiples of one number above 2. */
export function hasHoles(worth: Float64Array, partials: number): boolean {
  let all = 0
  for (let k = 1; k <= partials; k++) all += worth[k - 1]
  for (const m of multiples) {
    if (m > partials) break
    let kept = 0
    for (let k = m; k <= partials; k += m) kept += worth[k - 1]
    if (all - kept < fairShare * all) return true
  }
  return false
}
