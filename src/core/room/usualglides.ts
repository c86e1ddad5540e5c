/**
 * How far plucks of usual force may glide on a string, by what one pluck told of it and what is usual.
 *
 * By Bayes' rule on a grid: what is usual is a median of 3 c (recorded notes, scene/kinds.ts), strings and hands apart by a factor of
 * 2 either way in two of three cases (a guess, no source). A glide goes with the power of the pluck, and the one measured was harder
 * or softer than usual by what is usual from pluck to pluck.
 */
import type { ToldGlide } from './toldglide.ts'

const usualCents = 3
/** Standard deviation of the logarithm. */
const usualSpread = 0.7
/** Grid of both, in standard deviations: finer or wider changes no quantile by a hundredth. */
const [reach, step] = [3.5, 0.1]
const values = 64

/** Equally likely values, rising, cents; middles of as many parts. `forceDb`: from pluck to pluck, standard deviation. */
export function usualGlides(told: ToldGlide | null, forceDb: number): number[] {
  const grid = Array.from({ length: Math.round((2 * reach) / step) + 1 }, (_, i) => i * step - reach)
  const bell = (deviate: number): number => Math.exp(-(deviate ** 2) / 2)
  const forces = grid.map((deviate) => ({ factor: 10 ** ((forceDb * deviate) / 10), weight: bell(deviate) }))
  const weights = grid.map((deviate) => {
    if (told === null) return bell(deviate)
    const usual = usualCents * Math.exp(usualSpread * deviate)
    const likely = forces.reduce(
      (sum, { factor, weight }) => sum + weight * bell((told.cents - usual * factor) / told.spreadCents),
      0,
    )
    return bell(deviate) * likely
  })
  const total = weights.reduce((sum, weight) => sum + weight, 0)
  // A glide that no usual string has, told as sure: what is usual says nothing then.
  if (!(total > 0)) return usualGlides(null, forceDb)
  let [below, at] = [0, 0]
  return Array.from({ length: values }, (_, i) => {
    const wanted = ((i + 0.5) / values) * total
    while (at < grid.length - 1 && below + weights[at] < wanted) below += weights[at++]
    const within = (wanted - below) / weights[at] - 0.5
    return usualCents * Math.exp(usualSpread * (grid[at] + step * within))
  })
}
