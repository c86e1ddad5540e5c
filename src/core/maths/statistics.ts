/**
 * Averages, quantiles and intervals.
 *
 * NaN means "no value" and is left out everywhere; nothing left gives NaN. Rates get Wilson's interval (Wilson 1927, JASA
 * 22:209-212), everything else the percentile bootstrap over trials (Efron & Tibshirani 1993, chapter 13), drawn anew within
 * strata. Percentile intervals are too narrow for very few trials, and a stratum of one trial never varies.
 */
import { randomStream } from './random.ts'

/** A value with its 95 % interval and the number of trials behind it. NaN bounds: no interval can be given. */
export interface Figure {
  readonly value: number
  readonly low: number
  readonly high: number
  readonly n: number
}

type Values = readonly number[] | Float64Array | Float32Array

export function mean(values: Values): number {
  let sum = 0
  let count = 0
  for (const value of values) {
    if (Number.isNaN(value)) continue
    sum += value
    count++
  }
  return sum / count
}

/** Root of the mean square. */
export function rms(values: Values): number {
  let sum = 0
  let count = 0
  for (const value of values) {
    if (Number.isNaN(value)) continue
    sum += value * value
    count++
  }
  return Math.sqrt(sum / count)
}

export const median = (values: Values): number => quantile(values, 0.5)

/** Quantile of `share` 0 ... 1 between order statistics, type 7 of Hyndman & Fan 1996 (Am. Stat. 50:361-365). */
export function quantile(values: Values, share: number): number {
  const kept = new Float64Array(values.length)
  let count = 0
  for (let i = 0; i < values.length; i++) if (!Number.isNaN(values[i])) kept[count++] = values[i]
  if (count === 0) return Number.NaN
  const place = share * (count - 1)
  const below = Math.floor(place)
  const lower = selected(kept, count, below)
  if (place === below) return lower
  // What stands behind the selected one is not smaller.
  let upper = Number.POSITIVE_INFINITY
  for (let i = below + 1; i < count; i++) if (kept[i] < upper) upper = kept[i]
  return between(lower, upper, place - below)
}

/** Median of the distances to the median, not scaled to a standard deviation (times 1.4826 for normal data). */
export function mad(values: Values): number {
  const middle = median(values)
  return median(Float64Array.from(values, (value) => Math.abs(value - middle)))
}

/** `hits` of `n` with Wilson's score interval, no continuity correction. n = 0: all NaN. */
export function wilson(hits: number, n: number, z = 1.959964): Figure {
  if (n === 0) return { value: Number.NaN, low: Number.NaN, high: Number.NaN, n }
  const share = hits / n
  const middle = share + (z * z) / (2 * n)
  const reach = z * Math.sqrt((share * (1 - share)) / n + (z * z) / (4 * n * n))
  const scale = 1 + (z * z) / n
  // At the ends the bound is 0 or 1 in exact arithmetic.
  const low = hits === 0 ? 0 : (middle - reach) / scale
  const high = hits === n ? 1 : (middle + reach) / scale
  return { value: share, low, high, n }
}

/**
 * `statistic` of all trials with a percentile interval: trials are drawn with replacement within each group, `rounds` times.
 * Trials that are NaN are left out and not counted. Rounds whose statistic is NaN are left out; when they are the most, there
 * is no interval. Fewer than two trials: no interval. The array handed to `statistic` is used again in the next round.
 */
export function bootstrap<T>(
  groups: readonly (readonly T[])[],
  statistic: (trials: readonly T[]) => number,
  seed: number,
  rounds = 1000,
): Figure {
  const strata = groups.map((group) => group.filter((trial) => !Number.isNaN(trial)))
  const all = strata.flat()
  const n = all.length
  const value = n === 0 ? Number.NaN : statistic(all)
  if (n < 2) return { value, low: Number.NaN, high: Number.NaN, n }
  const random = randomStream(seed, 'bootstrap')
  const drawn = all.slice()
  const found = new Float64Array(rounds)
  let kept = 0
  for (let round = 0; round < rounds; round++) {
    let place = 0
    for (const stratum of strata) {
      for (let i = 0; i < stratum.length; i++) drawn[place++] = stratum[random.whole(stratum.length)]
    }
    const figure = statistic(drawn)
    if (!Number.isNaN(figure)) found[kept++] = figure
  }
  if (2 * kept <= rounds) return { value, low: Number.NaN, high: Number.NaN, n }
  const sorted = found.subarray(0, kept).sort()
  return { value, low: quantileOfSorted(sorted, 0.025), high: quantileOfSorted(sorted, 0.975), n }
}

function quantileOfSorted(sorted: Float64Array, share: number): number {
  const place = share * (sorted.length - 1)
  const below = Math.floor(place)
  return between(sorted[below], sorted[Math.min(below + 1, sorted.length - 1)], place - below)
}

/** Equal neighbours, infinite ones too, and a share of 0 need no interpolation. */
const between = (lower: number, upper: number, share: number): number =>
  lower === upper || share === 0 ? lower : lower + share * (upper - lower)

/** The k-th smallest of the first `count`, put in its place with smaller ones before and larger ones behind (Hoare 1961). */
function selected(values: Float64Array, count: number, k: number): number {
  let left = 0
  let right = count - 1
  while (left < right) {
    const pivot = values[k]
    let i = left
    let j = right
    while (i <= j) {
      while (values[i] < pivot) i++
      while (values[j] > pivot) j--
      if (i > j) break
      const value = values[i]
      values[i++] = values[j]
      values[j--] = value
    }
    if (j < k) left = i
    if (i > k) right = j
  }
  return values[k]
}

/**
 * Share of trials that have ended by each cause up to `atS`, all causes competing (Aalen & Johansen 1978, Scand. J. Stat.
 * 5:141-150). `causes[i]` is null where trial i ended without an event: it was watched until `times[i]` (NaN: throughout).
 * When every trial is watched equally long this is a plain proportion. Causes that never came up to `atS` are absent.
 */
export function cumulativeIncidence<C extends string>(
  times: readonly number[],
  causes: readonly (C | null)[],
  atS: number,
): ReadonlyMap<C, number> {
  const order = Array.from(times.keys()).filter((i) => times[i] <= atS)
  // At equal times events come before the end of watching: whoever was watched to t could have ended at t.
  order.sort((i, j) => times[i] - times[j] || Number(causes[i] === null) - Number(causes[j] === null))
  const incidence = new Map<C, number>()
  let watched = times.length
  let survival = 1
  for (let first = 0; first < order.length; ) {
    let last = first
    let events = 0
    while (last < order.length && times[order[last]] === times[order[first]]) {
      const cause = causes[order[last++]]
      if (cause === null) continue
      events++
      incidence.set(cause, (incidence.get(cause) ?? 0) + survival / watched)
    }
    survival *= 1 - events / watched
    watched -= last - first
    first = last
  }
  return incidence
}

/**
 * Two-sided p of "the paired differences are symmetric about 0", statistic: their mean. All sign patterns when there are no
 * more than `rounds` of them, else `rounds` random ones and p = (b + 1) / (rounds + 1) (Phipson & Smyth 2010). NaN for none.
 */
export function signFlip(differences: readonly number[], seed: number, rounds = 10_000): number {
  const kept = differences.filter((value) => !Number.isNaN(value))
  const n = kept.length
  if (n === 0) return Number.NaN
  const size = kept.reduce((sum, value) => sum + Math.abs(value), 0)
  // Sums of the same magnitudes in other orders of sign may differ by rounding: those count as ties.
  const limit = Math.abs(kept.reduce((sum, value) => sum + value, 0)) - size * n * Number.EPSILON
  let asFar = 0
  if (2 ** n <= rounds) {
    for (let pattern = 0; pattern < 2 ** n; pattern++) {
      let sum = 0
      for (let i = 0; i < n; i++) sum += (pattern >> i) & 1 ? -kept[i] : kept[i]
      if (Math.abs(sum) >= limit) asFar++
    }
    return asFar / 2 ** n
  }
  const random = randomStream(seed, 'sign flip')
  for (let round = 0; round < rounds; round++) {
    let sum = 0
    for (let i = 0; i < n; i++) sum += random.uniform() < 0.5 ? -kept[i] : kept[i]
    if (Math.abs(sum) >= limit) asFar++
  }
  return (asFar + 1) / (rounds + 1)
}

/** p values corrected for their number (Holm 1979, Scand. J. Stat. 6:65-70), in the order given. NaN stays NaN and is not counted. */
export function holm(ps: readonly number[]): number[] {
  const order = Array.from(ps.keys()).filter((i) => !Number.isNaN(ps[i]))
  order.sort((i, j) => ps[i] - ps[j])
  const corrected = ps.map(() => Number.NaN)
  let largest = 0
  order.forEach((i, rank) => {
    largest = Math.max(largest, Math.min(1, ps[i] * (order.length - rank)))
    corrected[i] = largest
  })
  return corrected
}
