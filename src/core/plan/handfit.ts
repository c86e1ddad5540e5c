/**
 * A person's own hand out of pairs of plucks with a turn between them: how far turns come from what was meant, and how long they
 * take.
 *
 * A string that reads c below its note is turned up by what was meant (-c, or as stated); the next pluck reads what became of
 * it. Moved minus meant has the variance  meant^2 sg^2 + (kappa s)^2 + 2 e^2  (gain of the turn, rest of the peg of kappa cents a
 * degree, two readings of spread e): sg and s are found by Fisher scoring for a Gaussian of that variance, neither below
 * nothing. Both are taken about what was meant, so a hand that always turns too little has that in its spread; `gain` tells it
 * apart. Time of a turn: start + degrees / speed, a least-squares line. Intervals: pairs drawn anew. In 200 imagined hands each
 * (gain .15, rest .7 degrees) those called 95 % held the truth of sg and s 85 to 92 times in 100 for 15 to 200 pairs, of times 91
 * to 95 times: spreads come out too sure of themselves, as bootstrapped ones do.
 *
 * Only turns up from flat count: down and up again are two turns in one. Small and large turns are both needed, or sg and s
 * cannot be told apart and their intervals say so.
 */
import { randomStream } from '../maths/random.ts'
import { bootstrap, type Figure, mean, median, quantile } from '../maths/statistics.ts'
import { Problem } from '../problem.ts'
import { type Hand, handFields } from './hand.ts'

export interface TurnPair {
  /** What was read before and after the turn, cents from the note. */
  readonly beforeCents: number
  readonly afterCents: number
  /** By how much the string was to rise; absent: to its note. */
  readonly intendedCents?: number
  /** From the settled reading until the pitch moves; NaN: not seen. */
  readonly reactionS: number
  /** While the pitch moves; NaN: not seen. */
  readonly turnS: number
  readonly centsPerDegree: number
  /** Standard deviation of either reading, cents. */
  readonly spreadCents: number
}

export type FittedName = 'turnGainSd' | 'pegStepDeg' | 'reactionS' | 'turnStartS' | 'turnDegPerS'

export interface HandFit {
  /** Turns from flat, of which everything is told. */
  readonly n: number
  /** Moved over meant, median: 1 turns as far as was meant. */
  readonly gain: Figure
  /** null: fewer than 15 were seen, or they do not tell. */
  readonly figures: Readonly<Record<FittedName, Figure | null>>
  /** Those that are known, inside the limits of a hand. */
  readonly hand: Partial<Hand>
}

/** Fewer leave the spread of a turn open by a factor of two. */
export const fewestPairs = 15
/** A smaller turn than this is mostly the reading's own spread. */
const leastMeantCents = 1
const rounds = 1000

const meantOf = ({ intendedCents, beforeCents }: TurnPair): number => intendedCents ?? -beforeCents

/** Whether a pair tells of a turn: from flat, and a turn at all. */
export const countsAsTurn = (pair: TurnPair): boolean =>
  meantOf(pair) >= leastMeantCents && Number.isFinite(pair.afterCents - pair.beforeCents) && pair.centsPerDegree > 0

/** @throws Problem for fewer than 15 turns from flat. */
export function fitHand(pairs: readonly TurnPair[], seed: number): HandFit {
  const turns = pairs.filter(countsAsTurn)
  if (turns.length < fewestPairs) {
    throw new Problem(`${turns.length} turns from flat tell too little: at least ${fewestPairs} are needed`, 'pairs')
  }
  const gain = bootstrap(
    [turns],
    (drawn) => median(drawn.map((pair) => (pair.afterCents - pair.beforeCents) / meantOf(pair))),
    seed,
  )
  const reacted = turns.filter(({ reactionS }) => reactionS >= 0)
  const timed = turns.filter(({ turnS }) => turnS > 0)
  const figures: Record<FittedName, Figure | null> = {
    ...figuresOf(turns, spreadsOf, ['turnGainSd', 'pegStepDeg'], seed),
    ...figuresOf(
      reacted,
      (drawn) => ({ reactionS: median(drawn.map(({ reactionS }) => reactionS)) }),
      ['reactionS'],
      seed,
    ),
    ...figuresOf(timed, timesOf, ['turnStartS', 'turnDegPerS'], seed),
  }
  return { n: turns.length, gain, figures, hand: handOf(figures) }
}

function figuresOf<N extends FittedName>(
  turns: readonly TurnPair[],
  tell: (drawn: readonly TurnPair[]) => Record<N, number>,
  names: readonly N[],
  seed: number,
): Record<N, Figure | null> {
  const enough = turns.length >= fewestPairs
  const whole = enough ? tell(turns) : null
  const random = randomStream(seed, 'hand', ...names)
  const again = enough
    ? Array.from({ length: rounds }, () => tell(turns.map(() => turns[random.whole(turns.length)])))
    : []
  return Object.fromEntries(
    names.map((name) => {
      const value = whole?.[name] ?? Number.NaN
      if (Number.isNaN(value)) return [name, null]
      const values = again.map((round) => round[name])
      return [name, { value, low: quantile(values, 0.025), high: quantile(values, 0.975), n: turns.length }]
    }),
  ) as Record<N, Figure | null>
}

/** Scoring settles within a few steps; more change the fourth digit at most. */
const steps = 30

function spreadsOf(turns: readonly TurnPair[]): Record<'turnGainSd' | 'pegStepDeg', number> {
  const rows = turns.map((pair) => {
    const meant = meantOf(pair)
    const off = pair.afterCents - pair.beforeCents - meant
    return { square: off * off, gain: meant * meant, rest: pair.centsPerDegree ** 2, read: 2 * pair.spreadCents ** 2 }
  })
  const overall = mean(rows.map(({ square }) => square))
  let [gain, rest] = [
    overall / (2 * mean(rows.map((row) => row.gain))),
    overall / (2 * mean(rows.map((row) => row.rest))),
  ]
  // So small a variance stands for none: a turn that comes out as meant to a thousandth of a cent.
  const least = 1e-6
  for (let step = 0; step < steps; step++) {
    let [gg, gr, rr, gy, ry] = [0, 0, 0, 0, 0]
    for (const row of rows) {
      const variance = Math.max(least, gain * row.gain + rest * row.rest + row.read)
      const weight = 1 / (variance * variance)
      const left = row.square - row.read
      gg += weight * row.gain * row.gain
      gr += weight * row.gain * row.rest
      rr += weight * row.rest * row.rest
      gy += weight * row.gain * left
      ry += weight * row.rest * left
    }
    ;[gain, rest] = nonNegative(gg, gr, rr, gy, ry)
  }
  return { turnGainSd: Math.sqrt(gain), pegStepDeg: Math.sqrt(rest) }
}

/** Least squares for two unknowns that cannot be negative: inside, or at the better of the two edges. */
function nonNegative(aa: number, ab: number, bb: number, ay: number, by: number): [number, number] {
  const determinant = aa * bb - ab * ab
  const [a, b] = [(bb * ay - ab * by) / determinant, (aa * by - ab * ay) / determinant]
  // Turns all of one size leave a determinant of nothing but rounding.
  if (determinant > 1e-9 * aa * bb && a >= 0 && b >= 0) return [a, b]
  const [onlyA, onlyB] = [Math.max(0, ay / aa), Math.max(0, by / bb)]
  return onlyA * ay >= onlyB * by ? [onlyA, 0] : [0, onlyB]
}

/** NaN for both where the turns are all of a size, or larger ones took no longer. */
function timesOf(turns: readonly TurnPair[]): Record<'turnStartS' | 'turnDegPerS', number> {
  const degrees = turns.map((pair) => Math.abs(pair.afterCents - pair.beforeCents) / pair.centsPerDegree)
  const [middle, middleS] = [mean(degrees), mean(turns.map(({ turnS }) => turnS))]
  let [xx, xy] = [0, 0]
  for (const [at, { turnS }] of turns.entries()) {
    xx += (degrees[at] - middle) ** 2
    xy += (degrees[at] - middle) * (turnS - middleS)
  }
  if (!(xx > 0 && xy > 0)) return { turnStartS: Number.NaN, turnDegPerS: Number.NaN }
  const secondsPerDegree = xy / xx
  return { turnStartS: Math.max(0, middleS - secondsPerDegree * middle), turnDegPerS: 1 / secondsPerDegree }
}

function handOf(figures: HandFit['figures']): Partial<Hand> {
  const known = Object.entries(figures).flatMap(([name, figure]) => {
    if (figure === null) return []
    const field = handFields[name as FittedName]
    return [[name, Math.min(field.max, Math.max(field.min, figure.value))]]
  })
  return Object.fromEntries(known)
}
