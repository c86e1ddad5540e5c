/**
 * What the outcomes of a prediction come to: for each method the median error, the lock time and the rate of false claims of
 * a session of fresh plucks in that room, with 95 % prediction intervals, and which method to use rough and which fine.
 *
 * A session is drawn a thousand times: which of the strings that the take allows is the real one, how much louder than the
 * measured pluck the usual one is, which stretches of noise come up (one fewer than there are, which makes the variance of a
 * mean right: Rao & Wu 1988, JASA 83:231-241), then the plucks. So an interval holds what the noise take, the measured
 * pluck, the study's own number of trials and the session's number of plucks leave open. All methods hear the same sessions.
 * A rate's interval is also no narrower than Jeffreys' beta-binomial one: none seen in n is not never. Not for a room that does what
 * it did not do during the take.
 */
import { type Random, randomStream } from '../maths/random.ts'
import { type Figure, quantile } from '../maths/statistics.ts'
import { Problem } from '../problem.ts'
import { methodNames } from '../score/summary.ts'
import type { Outcome } from '../study/study.ts'
import type { PredictedString } from './predictedstring.ts'
import { drawnOf, levelStepDb } from './prediction.ts'
import { type Chosen, chosenMethods, type Heard, lowerMedian } from './predictionchoice.ts'

/** Intervals are of a session's figure, not of a mean. `n`: trials behind it. */
export interface PredictedFigures {
  /** Median of |claim - truth| over plucks with a claim, cents; NaN: no claim. */
  readonly errorCents: Figure
  /** Median time to the claim; a pluck without one counts as later than any: Infinity, where half have none. */
  readonly lockS: Figure
  /** Share of plucks whose claim is more than 5 c off. */
  readonly falseRate: Figure
  readonly noLockRate: Figure
}

export interface PredictedMethod {
  /** As in a summary of the study. */
  readonly method: string
  readonly pooled: PredictedFigures
  readonly strings: readonly (PredictedFigures & { readonly string: string })[]
}

export interface Predicted {
  readonly methods: readonly PredictedMethod[]
  readonly rough: Chosen
  readonly fine: Chosen
}

export interface SessionWish {
  /** Plucks of a session; over all strings alike for what is pooled, all of one string for what is told of it. */
  readonly plucks: number
  readonly seed: number
}

const rounds = 1000
/** Median time of a claim that stands before the pluck: it is there at once, as a person sees it. */
const atOnceS = 0

/**
 * @param strings those the study was made of.
 * @param outcomes all of the study's, in any order.
 * @throws Problem for outcomes of another study, or none.
 */
export function predictionOf(
  strings: readonly PredictedString[],
  outcomes: readonly Outcome[],
  { plucks, seed }: SessionWish,
): Predicted {
  const grid = gridOf(strings, outcomes)
  const sessions = drawnSessions(strings, grid, plucks, randomStream(seed, 'sessions'))
  const methods = grid.methods.map((method, at): PredictedMethod => {
    const heardIn = (cells: readonly number[]): Heard[] => cells.map((cell) => grid.heard[cell][at])
    const figures = (cells: readonly number[], drawn: readonly (readonly number[])[]): PredictedFigures =>
      figuresOf(heardIn(cells), drawn.map(heardIn), plucks)
    return {
      method,
      pooled: figures(
        strings.flatMap((_, string) => grid.cellsOf(string)),
        sessions.map((session) => pooledOf(session, plucks)),
      ),
      strings: strings.map(({ id }, string) => ({
        string: id,
        ...figures(
          grid.cellsOf(string),
          sessions.map((session) => session[string]),
        ),
      })),
    }
  })
  const told = grid.methods.map((method, at) => ({
    method,
    all: strings.flatMap((_, string) => grid.cellsOf(string)).map((cell) => grid.heard[cell][at]),
    sessions: sessions.map((session) => pooledOf(session, plucks).map((cell) => grid.heard[cell][at])),
  }))
  return { methods, ...chosenMethods(told) }
}

interface Grid {
  readonly methods: readonly string[]
  /** By cell, then method; a cell that is no trial of the prediction is empty. */
  readonly heard: readonly (readonly Heard[])[]
  readonly draws: number
  readonly stretches: number
  readonly levels: number
  cell(string: number, draw: number, stretch: number, level: number): number
  /** Those that were heard. */
  cellsOf(string: number): number[]
}

function gridOf(strings: readonly PredictedString[], outcomes: readonly Outcome[]): Grid {
  const refuse = (): never => {
    throw new Problem('are not those of this prediction, or not all of them', 'outcomes')
  }
  if (outcomes.length === 0) return refuse()
  const placesIn = <T extends string | number>(values: readonly T[]): Map<T, number> =>
    new Map([...new Set(values)].sort((a, b) => (a < b ? -1 : 1)).map((value, at) => [value, at]))
  const nameOf = methodNames(outcomes.map(({ method }) => method))
  const methods = [...new Set(outcomes.map(({ method }) => nameOf(method)))]
  const stretches = placesIn(outcomes.map(({ trial }) => trial.room))
  const levels = placesIn(outcomes.map(({ trial }) => trial.snrDb))
  const drawOf = (id: string): number => Math.floor(drawnOf(id).number / levels.size)
  const draws = placesIn(outcomes.map(({ trial }) => drawOf(trial.string)))
  const each = draws.size * stretches.size * levels.size
  const cell = (string: number, draw: number, stretch: number, level: number): number =>
    ((string * draws.size + draw) * stretches.size + stretch) * levels.size + level
  const heard = Array.from({ length: strings.length * each }, (): Heard[] => [])
  for (const outcome of outcomes) {
    const { string: drawn, room, snrDb } = outcome.trial
    const { string } = drawnOf(drawn)
    const place = strings.findIndex(({ id }) => id === string)
    if (place < 0) return refuse()
    const at = cell(place, draws.get(drawOf(drawn)) ?? 0, stretches.get(room) ?? 0, levels.get(snrDb) ?? 0)
    heard[at][methods.indexOf(nameOf(outcome.method))] = heardOf(outcome)
  }
  const heardOfDraw = (string: number, draw: number): number => {
    let count = 0
    for (let stretch = 0; stretch < stretches.size; stretch++) {
      for (let level = 0; level < levels.size; level++) {
        const own = heard[cell(string, draw, stretch, level)]
        if (own.length > 0 && methods.some((_, at) => own[at] === undefined)) return refuse()
        if (own.length > 0) count++
      }
    }
    return count
  }
  const expected = heardOfDraw(0, 0)
  for (let string = 0; string < strings.length; string++) {
    for (let draw = 0; draw < draws.size; draw++) {
      if (expected === 0 || heardOfDraw(string, draw) !== expected) return refuse()
    }
  }
  const cellsOf = (string: number): number[] =>
    Array.from({ length: each }, (_, at) => string * each + at).filter((at) => heard[at].length > 0)
  return { methods, heard, draws: draws.size, stretches: stretches.size, levels: levels.size, cell, cellsOf }
}

/** A method that failed says nothing. */
function heardOf(outcome: Outcome): Heard {
  if (outcome.state === 'failed' || outcome.score.claim === 'none') {
    return { lockS: Number.POSITIVE_INFINITY, errorCents: Number.NaN, isTrue: false, isFalse: false }
  }
  const { claim, lockS, claimCents } = outcome.score
  const isTrue = claim === 'true'
  return { lockS: Math.max(atOnceS, lockS), errorCents: Math.abs(claimCents), isTrue, isFalse: !isTrue }
}

/** Cells heard in a session: by string, `plucks` of each. */
type Session = readonly (readonly number[])[]

function drawnSessions(strings: readonly PredictedString[], grid: Grid, plucks: number, random: Random): Session[] {
  const step = levelStepDb(strings)
  const every = Array.from({ length: grid.stretches }, (_, stretch) => stretch)
  return Array.from({ length: rounds }, (): Session => {
    const drawnStretches = Array.from({ length: Math.max(1, grid.stretches - 1) }, () => random.whole(grid.stretches))
    return strings.map(({ ratioErrorDb }, string) => {
      const draw = random.whole(grid.draws)
      const usualDb = ratioErrorDb * random.gaussian()
      // Two levels, the upper one so often that their mean is the usual pluck's.
      const upper = step === 0 ? 0 : Math.max(0, Math.min(1, (1 + usualDb / step) / 2))
      const cellsAt = Array.from({ length: grid.levels }, (_, level): number[] => {
        const heardIn = (stretches: readonly number[]): number[] =>
          stretches
            .map((stretch) => grid.cell(string, draw, stretch, level))
            .filter((cell) => grid.heard[cell].length > 0)
        // This string may not have been heard at this level in any of the stretches that came up.
        const own = heardIn(drawnStretches)
        return own.length > 0 ? own : heardIn(every)
      })
      return Array.from({ length: plucks }, () => {
        const cells = cellsAt[grid.levels > 1 && random.uniform() < upper ? 1 : 0]
        return cells[random.whole(cells.length)]
      })
    })
  })
}

/** The session's plucks dealt out over the strings, the first ones getting what is over. */
const pooledOf = (session: Session, plucks: number): number[] =>
  Array.from({ length: plucks }, (_, at) => session[at % session.length][Math.floor(at / session.length)])

function figuresOf(all: readonly Heard[], sessions: readonly (readonly Heard[])[], plucks: number): PredictedFigures {
  const of = (tell: (heard: readonly Heard[]) => number): Figure => ({
    value: tell(all),
    ...ends(sessions.map(tell)),
    n: all.length,
  })
  return {
    errorCents: of(medianErrorCents),
    lockS: of(medianLockS),
    falseRate: rateOf(all, sessions, ({ isFalse }) => isFalse, plucks),
    noLockRate: rateOf(all, sessions, ({ lockS }) => lockS === Number.POSITIVE_INFINITY, plucks),
  }
}

/** NaN without a claim. */
export const medianErrorCents = (heard: readonly Heard[]): number =>
  quantile(
    heard.map(({ errorCents }) => errorCents),
    0.5,
  )

export const medianLockS = (heard: readonly Heard[]): number => lowerMedian(heard.map(({ lockS }) => lockS))

/** 95 % of what was drawn; NaN where most have no figure. */
function ends(drawn: readonly number[]): { readonly low: number; readonly high: number } {
  const kept = Float64Array.from(drawn.filter((value) => !Number.isNaN(value))).sort()
  if (2 * kept.length <= drawn.length) return { low: Number.NaN, high: Number.NaN }
  const at = (share: number): number => kept[Math.round(share * (kept.length - 1))]
  return { low: at(0.025), high: at(0.975) }
}

function rateOf(
  all: readonly Heard[],
  sessions: readonly (readonly Heard[])[],
  counts: (heard: Heard) => boolean,
  plucks: number,
): Figure {
  const share = (heard: readonly Heard[]): number => heard.filter(counts).length / heard.length
  const drawn = ends(sessions.map(share))
  const fewest = betaBinomialEnds(all.filter(counts).length, all.length, plucks)
  return {
    value: share(all),
    low: Math.min(drawn.low, fewest.low / plucks),
    high: Math.max(drawn.high, fewest.high / plucks),
    n: all.length,
  }
}

/** 95 % of the hits of `plucks` further ones after `hits` of `n`, by Jeffreys' prior. */
function betaBinomialEnds(hits: number, n: number, plucks: number): { readonly low: number; readonly high: number } {
  const [a, b] = [hits + 0.5, n - hits + 0.5]
  let share = 1
  for (let i = 0; i < plucks; i++) share *= (b + i) / (a + b + i)
  let [low, high] = [-1, plucks]
  let below = 0
  for (let count = 0; count < plucks; count++) {
    below += share
    if (low < 0 && below >= 0.025) low = count
    if (below >= 0.975) {
      high = count
      break
    }
    share *= (((plucks - count) / (count + 1)) * (a + count)) / (b + plucks - count - 1)
  }
  return { low: low < 0 ? high : low, high }
}
