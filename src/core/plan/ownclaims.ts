/**
 * What belongs to a string in a method's claims, and stays with it all evening; and what does not.
 *
 * Beside claims of other plucks as hard (byforce.ts), those of one string have a middle, and lie closer together or farther apart. Plucks
 * nearly in tune tell that, for of them an evening is made. Both are the string's own, known as well as so few plucks tell: over
 * strings, what is told of them spreads too wide by what that leaves open. How far strings really differ is told by what two plucks
 * of one string have in common, and by that much they are drawn together, so that they spread as strings do (Louis 1984, JASA
 * 79:393-398; shrunk to be nearest each, as by James & Stein, they would spread too little). Plucks, whose distances from their own
 * string's middle are too short, are put as far apart as they were in all.
 *
 * Whole takes in quiet tell less: a method that claims early and in noise weighs other partials at another time. On a bass E1 its
 * claims lay from -5.3 to 8.3 c (5 to 95 %) off the median readings of whole quiet takes, and from -1.9 to 1.9 c off what they had
 * in common; drawn about the former, an evening was predicted a fifth too slow (tests/bench/closed-loop.md).
 */
import { mean, median } from '../maths/statistics.ts'
import { usualByForce } from './byforce.ts'
import { nearCents } from './records.ts'

/** Of one method on the plucks of one cell; an entry a pluck. */
export interface Claims {
  /** Claim minus truth, cents; NaN: none. */
  readonly errorCents: Float64Array
  readonly detuneCents: Float64Array
  readonly harderDb: Float64Array
  /** Which string was plucked. */
  readonly ofString: Uint32Array
}

/** The same, taken apart: a claim is off by `usualCents + spreadCents * (own + wide * noise)`, own and wide of its string. */
export interface ClaimParts {
  /** An entry a pluck: the middle of claims of plucks as hard, and how far they lie apart (standard deviation, were they normal). */
  readonly usualCents: Float64Array
  readonly spreadCents: Float64Array
  /** An entry a pluck, in spreads; NaN without a claim. */
  readonly noise: Float64Array
  /** [string], in spreads. */
  readonly own: Float64Array
  /** [string]: how far its claims lie apart, 1 as usual. */
  readonly wide: Float64Array
}

/** The median of fewer claims is one that noise may have spoilt. */
const fewestClaims = 3
/** Claims farther from the usual one than so many standard deviations, octaves and neighbours, do not say how far others spread. */
const widest = 5
/** No string's claims lie closer together than a fifth of the usual: what is told of one would else be less than nothing. */
const leastWide = 0.2
/** Standard deviation of normal data over their median distance from the median. */
const normalSpread = 1.4826

/**
 * Middles are of each of `cells` by itself, for they differ with the noise. The same strings, 0 to `strings` - 1, are in each: one with too few
 * claims in a cell is told by all it has, one with too few in all has what is usual for the others.
 */
export function partsOfClaims(cells: readonly Claims[], strings: number): ClaimParts[] {
  const aside = cells.map(asideOf)
  const beside = cells.map(({ ofString }, at) => {
    const { telling, spreadCents } = aside[at]
    const inCell = Array.from({ length: strings }, (): Told[] => [])
    for (const [pluck, value] of telling.entries())
      if (!Number.isNaN(value)) inCell[ofString[pluck]].push({ value, weight: spreadCents[pluck] })
    return inCell
  })
  const anywhere = Array.from({ length: strings }, (_, string) => beside.flatMap((inCell) => inCell[string]))
  const wide = wideOf(beside, strings)
  return cells.map(({ ofString }, at) => {
    const told = beside[at].map((inCell, string) => (inCell.length < fewestClaims ? anywhere[string] : inCell))
    const { usualCents, spreadCents, spreads } = aside[at]
    return { usualCents, spreadCents, wide, ...middlesAndNoise(spreads, ofString, told, wide) }
  })
}

/** One value of a string, and how much it says of how far strings and plucks lie apart in the end: a spread of 2 c four times that of 1 c. */
interface Told {
  readonly value: number
  readonly weight: number
}

/** What claims are off by beside plucks as hard: in cents the usual and the spread, and each in spreads from the usual. */
interface Aside extends Pick<ClaimParts, 'usualCents' | 'spreadCents'> {
  readonly spreads: Float64Array
  /** The same; NaN for plucks that say nothing of their string. */
  readonly telling: Float64Array
}

function asideOf({ errorCents, detuneCents, harderDb }: Claims): Aside {
  const inTune = errorCents.map((cents, pluck) => (Math.abs(detuneCents[pluck]) <= nearCents ? cents : Number.NaN))
  const told = inTune.every(Number.isNaN) ? errorCents : inTune
  const usualCents = usualByForce(told, harderDb, harderDb)
  const distances = told.map((cents, pluck) => Math.abs(cents - usualCents[pluck]))
  // Where all are alike there is nothing to measure by; a cent then is one.
  const spreadCents = usualByForce(distances, harderDb, harderDb).map((cents) => normalSpread * cents || 1)
  const asSpreads = (cents: number, pluck: number): number => (cents - usualCents[pluck]) / spreadCents[pluck]
  return { usualCents, spreadCents, spreads: errorCents.map(asSpreads), telling: told.map(asSpreads) }
}

const near = (value: number): number => Math.max(-widest, Math.min(widest, value))

const valuesOf = (told: readonly Told[]): number[] => told.map(({ value }) => value)

/**
 * Of each of `lists`, one a string, the middle, drawn together so that middles spread as strings do. A list of under `fewest` values says nothing:
 * its middle is the usual one.
 */
function drawnTogether(
  lists: readonly (readonly Told[])[],
  fewest: number,
  middleOf: (values: readonly number[]) => number,
): { readonly usual: number; readonly middles: Float64Array; readonly drawn: Float64Array; readonly variance: number } {
  const known = lists.filter(({ length }) => length >= fewest)
  const usual = known.length === 0 ? 0 : mean(known.map((told) => middleOf(valuesOf(told))))
  const middles = Float64Array.from(lists, (told) => (told.length < fewest ? usual : middleOf(valuesOf(told))))
  let [products, pairs, squares] = [0, 0, 0]
  for (const told of known) {
    const [inAll, weights] = [
      { sum: 0, squares: 0 },
      { sum: 0, squares: 0 },
    ]
    for (const { value, weight } of told) {
      const aside = weight * near(value - usual)
      inAll.sum += aside
      inAll.squares += aside ** 2
      weights.sum += weight
      weights.squares += weight ** 2
    }
    products += inAll.sum ** 2 - inAll.squares
    pairs += weights.sum ** 2 - weights.squares
    squares += near(middleOf(valuesOf(told)) - usual) ** 2
  }
  const variance = pairs > 0 ? Math.max(0, products / pairs) : 0
  const together = squares > 0 ? Math.min(1, Math.sqrt((variance * known.length) / squares)) : 0
  return { usual, middles, drawn: middles.map((middle) => usual + together * (middle - usual)), variance }
}

/** How far each string's claims lie apart: pairs of its plucks in one cell, each pluck in one pair, know nothing else of each other. */
function wideOf(beside: readonly (readonly (readonly Told[])[])[], strings: number): Float64Array {
  const apart = Array.from({ length: strings }, (_, string) =>
    beside.flatMap((inCell) => {
      const values = valuesOf(inCell[string])
      return Array.from({ length: values.length >> 1 }, (_, pair) => ({
        value: Math.abs(near(values[2 * pair]) - near(values[2 * pair + 1])),
        weight: 1,
      }))
    }),
  )
  const { usual, drawn } = drawnTogether(apart, 2, mean)
  return drawn.map((value) => (usual > 0 ? Math.max(leastWide, value / usual) : 1))
}

/** `told`: of each string what tells its middle. */
function middlesAndNoise(
  spreads: Float64Array,
  ofString: Uint32Array,
  told: readonly (readonly Told[])[],
  wide: Float64Array,
): Pick<ClaimParts, 'own' | 'noise'> {
  const { usual, middles, drawn, variance } = drawnTogether(told, fewestClaims, median)
  const sums = { weights: 0, squares: 0, within: 0 }
  for (const [string, values] of told.entries()) {
    if (values.length < fewestClaims) continue
    for (const { value, weight } of values) {
      sums.weights += weight ** 2
      sums.squares += (weight * near(value - usual)) ** 2
      sums.within += (weight * near((value - middles[string]) / wide[string])) ** 2
    }
  }
  const plucks = Math.max(0, sums.squares / sums.weights - variance) / mean(wide.map((value) => value ** 2))
  const apart = sums.within > 0 ? Math.sqrt((plucks * sums.weights) / sums.within) : 1
  return {
    own: drawn,
    noise: spreads.map((value, pluck) => {
      const string = ofString[pluck]
      return ((value - middles[string]) / wide[string]) * (told[string].length < fewestClaims ? 1 : apart)
    }),
  }
}
