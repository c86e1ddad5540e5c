/**
 * The threshold ratio: the lowest string-over-room ratio from which on a method is grossly wrong, or silent, in less than 5 % of its
 * readings.
 *
 * Shares fall as the ratio rises; measured ones wobble. They are made to fall (pool adjacent violators, Ayer et al. 1955, Ann.
 * Math. Stat. 26:641-647, equal weights) and the crossing of 5 % is read off straight lines between them. Never: Infinity;
 * already at the lowest ratio: -Infinity. The interval is the percentile bootstrap over plucks, drawn within strings; one
 * pluck carries its trials at all ratios along, as they share the string.
 */
import { bootstrap, type Figure } from '../../../src/core/maths/statistics.ts'

export const grossLimit = 0.05

/** One pluck: the share of bad readings at each ratio; NaN: no trial there. */
export interface Pluck {
  readonly string: string
  readonly shares: readonly number[]
}

/** `shares` made never to rise: neighbours that do are replaced by their mean. */
export function falling(shares: readonly number[]): number[] {
  const blocks: { sum: number; count: number }[] = []
  for (const share of shares) {
    let block = { sum: share, count: 1 }
    for (let before = blocks.at(-1); before !== undefined; before = blocks.at(-1)) {
      if (block.sum * before.count <= before.sum * block.count) break
      block = { sum: block.sum + before.sum, count: block.count + before.count }
      blocks.pop()
    }
    blocks.push(block)
  }
  return blocks.flatMap(({ sum, count }) => Array.from({ length: count }, () => sum / count))
}

/** Where falling shares cross the limit. `ratiosDb` rise. */
export function crossing(ratiosDb: readonly number[], shares: readonly number[], limit = grossLimit): number {
  const smooth = falling(shares)
  const first = smooth.findIndex((share) => share < limit)
  if (first < 0) return Number.POSITIVE_INFINITY
  if (first === 0) return Number.NEGATIVE_INFINITY
  const [above, below] = [smooth[first - 1], smooth[first]]
  const part = (above - limit) / (above - below)
  return ratiosDb[first - 1] + part * (ratiosDb[first] - ratiosDb[first - 1])
}

/** Ratios at which no pluck has a trial are left out. null: nothing measured. */
export function thresholdOf(ratiosDb: readonly number[], plucks: readonly Pluck[], seed: number): Figure | null {
  const known = ratiosDb.map((_, at) => plucks.some(({ shares }) => !Number.isNaN(shares[at])))
  const ratios = ratiosDb.filter((_, at) => known[at])
  if (ratios.length === 0) return null
  const groups = new Map<string, number[][]>()
  for (const { string, shares } of plucks) {
    const kept = shares.filter((_, at) => known[at])
    groups.set(string, [...(groups.get(string) ?? []), kept])
  }
  const statistic = (drawn: readonly (readonly number[])[]): number =>
    crossing(
      ratios,
      ratios.map((_, at) => meanKnown(drawn, at)),
    )
  return bootstrap([...groups.values()], statistic, seed)
}

function meanKnown(rows: readonly (readonly number[])[], at: number): number {
  let [sum, count] = [0, 0]
  for (const row of rows) {
    if (Number.isNaN(row[at])) continue
    sum += row[at]
    count++
  }
  // A draw without any trial at this ratio tells nothing there: taken as bad, which is the cautious side.
  return count === 0 ? 1 : sum / count
}
