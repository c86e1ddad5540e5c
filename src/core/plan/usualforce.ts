/**
 * What a method reads off a string in quiet, for plucks of usual force.
 *
 * A quiet reading holds two things: what the string's partials do, which stays with the string all evening, and a share of the
 * glide, which grows with the square of each pluck's amplitude. Over plucks of uneven force the second is a straight line in
 * amplitude squared; its slope (Theil-Sen: median over all pairs, so that a few octave errors do not turn it) is taken out.
 */
import { median } from '../maths/statistics.ts'
import { powerRatioFromDb } from '../maths/units.ts'

/** Fewer plucks tell the line from the strings' own differences badly. */
const fewestPlucks = 10

/** `offsetsCents[i]` of a pluck `harderDb[i]` over the usual one, brought to the usual one; NaN stays. */
export function atUsualForce(offsetsCents: Float64Array, harderDb: Float64Array): Float64Array {
  const n = offsetsCents.length
  if (n < fewestPlucks) return offsetsCents.slice()
  const stretch = harderDb.map((db) => powerRatioFromDb(db) - 1)
  const slopes = new Float64Array((n * (n - 1)) / 2).fill(Number.NaN)
  let at = 0
  for (let i = 0; i < n; i++) {
    for (let j = 0; j < i; j++) {
      const apart = stretch[i] - stretch[j]
      if (apart !== 0) slopes[at++] = (offsetsCents[i] - offsetsCents[j]) / apart
    }
  }
  const slope = median(slopes)
  // Plucks all of one force: there is no line.
  if (Number.isNaN(slope)) return offsetsCents.slice()
  return offsetsCents.map((cents, i) => cents - slope * stretch[i])
}
