/**
 * Outcomes of a run, gathered cell by cell (string, room, ratio, method), each figure with n and a 95 % interval.
 *
 * The trial is the unit everywhere: readings of one trial are not independent. Rates have Wilson's interval; a share of
 * readings gets it too, with the number of trials as n: a trial's share lies between 0 and 1, so its variance is at most that
 * of a yes or no, and the interval errs on the wide side instead of vanishing when nothing was seen. All else: percentile
 * bootstrap over trials, stratified by string, seeded by the run's seed, the cell and the figure's name, so that no figure
 * depends on what else stands in the run. In memory an interval that cannot be given is NaN (fewer than two trials) and the
 * end of one that lies beyond the take is Infinity; JSON.stringify writes both as null.
 */
import { bootstrap, type Figure, median, rms, wilson } from '../maths/statistics.ts'
import type { DisplaySettings } from '../methods/displayed.ts'
import type { Levels } from '../study/levels.ts'
import type { MethodChoice, Outcome } from '../study/study.ts'
import type { Claim, Score } from './score.ts'

export type { Figure }

export interface CellFigures {
  /** Trials scored. */
  readonly n: number
  /** Trials that failed with a problem; none of the figures count them. */
  readonly failed: number
  /** Share of readings that were declined. Missing, gross and fine readings together are all readings. */
  readonly missing: Figure | null
  readonly grossRate: Figure | null
  readonly octaveRate: Figure | null
  /** Medians over trials of each trial's median; null where no trial can tell, or one only of several. */
  readonly offsetCents: Figure | null
  readonly noiseErrorCents: Figure | null
  readonly medianAbsCents: Figure | null
  /** Noise deviation: root mean square over trials of reading minus truth minus offset, gross errors left out. */
  readonly sdCents: Figure | null
  /** The stiffness-known bound over the same evidence, root mean square; null where it has no meaning. */
  readonly boundSdCents: number | null
  /** sdCents over boundSdCents, both over the trials that have both. */
  readonly boundRatio: Figure | null
  /** Why boundRatio is below 1 by more than its interval; null when it is not. */
  readonly boundNote: string | null
  /**
   * Medians over all trials, a trial without a lock counting as later than any; null when under half locked. `high` is
   * Infinity (null in JSON) where the interval reaches beyond the take. False claims count at their time: look at the rates.
   */
  readonly firstSteadyS: Figure | null
  readonly lockS: Figure | null
  readonly within5S: Figure | null
  readonly within1S: Figure | null
  /** Median over trials of the moment from which the bound allows a claim: no method without a prior is earlier on average. */
  readonly boundLockS: number | null
  readonly trueRate: Figure | null
  /** Room-caused and premature false claims together. */
  readonly falseRoomRate: Figure | null
  readonly falseStructuralRate: Figure | null
  readonly noLockRate: Figure | null
  /**
   * How the cell's trials stood, the same for all methods: medians over trials, string over noise in dB, in band within 50 c
   * of the partials 1 to 10, broadband at 0.2, 0.5, 1 and 2 s after the onset. null where no trial can tell, or one of several.
   */
  readonly inBandMedianDb: Figure | null
  readonly inBandMinDb: Figure | null
  readonly ratioAt02S: Figure | null
  readonly ratioAt05S: Figure | null
  readonly ratioAt1S: Figure | null
  readonly ratioAt2S: Figure | null
  /** Strongest line of the noise, from the note in hand; `n` counts the trials in which one stands out. */
  readonly foreignCents: Figure | null
}

type LevelFigures = Pick<CellFigures, keyof typeof levelTellers>

export interface Cell extends CellFigures {
  readonly string: string
  readonly room: string
  readonly snrDb: number
  /** Id of the method, its settings when the run holds the method with several, and its display if it has one. */
  readonly method: string
}

export interface Summary<H> {
  readonly header: H
  /** In the order in which the run first speaks of them. */
  readonly cells: readonly Cell[]
}

/** Never throws for data. Scores may hold null for NaN, as JSON does. */
export function summarise<H extends { readonly seed: number }>(header: H, outcomes: Iterable<Outcome>): Summary<H> {
  const gathered = new Map<string, Outcome[]>()
  for (const outcome of outcomes) {
    const { string, room, snrDb } = outcome.trial
    const key = JSON.stringify([string, room, snrDb, nameOf(outcome.method, true)])
    const cell = gathered.get(key)
    if (cell === undefined) gathered.set(key, [outcome])
    else cell.push(outcome)
  }
  const cells = Array.from(gathered.values())
  const nameIn = methodNames((cells as [Outcome][]).map(([{ method }]) => method))
  const levelsKnown: KnownLevels = new Map()
  return {
    header,
    cells: cells.map((outcomesOfCell) => {
      const [{ trial, method }] = outcomesOfCell as [Outcome]
      const { string, room, snrDb } = trial
      const label = nameIn(method)
      return {
        string,
        room,
        snrDb,
        method: label,
        ...figuresOf(outcomesOfCell, header.seed, [string, room, snrDb, label], levelsKnown),
      }
    }),
  }
}

/** Figures of any set of outcomes of one method: several strings or rooms pooled give one line, strata are the strings. */
export function figuresOf(
  outcomes: readonly Outcome[],
  seed: number,
  names: readonly (string | number)[] = [],
  levelsKnown: KnownLevels = new Map(),
): CellFigures {
  const strata = new Map<string, Score[]>()
  let failed = 0
  for (const outcome of outcomes) {
    if (outcome.state === 'failed') {
      failed++
      continue
    }
    const { string } = outcome.trial
    const stratum = strata.get(string)
    if (stratum === undefined) strata.set(string, [outcome.score])
    else stratum.push(outcome.score)
  }
  const groups = Array.from(strata.values())
  const scores = groups.flat()
  const seedOf = (figure: string): number => hashOf(JSON.stringify([seed, ...names, figure]))

  const shareOf = (part: 'missing' | 'gross' | 'octave'): Figure | null => {
    const told = scores.filter((score) => score.readings > 0 && isKnown(score[part]))
    const sum = (key: typeof part | 'readings'): number => told.reduce((total, score) => total + score[key], 0)
    return told.length === 0 ? null : wilson((sum(part) / sum('readings')) * told.length, told.length)
  }
  /** Groups of numbers, one a trial; trials that cannot tell are left out. */
  const valuesOf = (tell: (score: Score) => number): number[][] =>
    groups.map((group) => group.map(tell).filter((value) => isKnown(value)))
  /** What one trial of several can tell has no interval, and speaks for nobody but itself: no figure. */
  const tooFew = (values: readonly (readonly unknown[])[]): boolean =>
    values.flat().length < Math.min(2, Math.max(1, scores.length))
  const intervalOf = (name: string, values: number[][], statistic: Statistic): Figure | null =>
    tooFew(values) ? null : bootstrap(values, statistic, seedOf(name))
  const medianOf = (key: 'offsetCents' | 'noiseErrorCents' | 'medianAbsCents'): Figure | null =>
    intervalOf(
      key,
      valuesOf((score) => score[key]),
      medianOfDrawn,
    )
  const timeOf = (key: TimeKey): Figure | null => {
    const times = groups.map((group) =>
      group.map((score) => (isKnown(score[key]) ? score[key] : Number.POSITIVE_INFINITY)),
    )
    const figure = times.length === 0 ? null : bootstrap(times, medianOfDrawn, seedOf(key))
    return figure?.value === Number.POSITIVE_INFINITY ? null : figure
  }
  const rateOf = (...claims: Claim[]): Figure | null =>
    scores.length === 0 ? null : wilson(scores.filter((score) => claims.includes(score.claim)).length, scores.length)

  const both = groups.map((group) =>
    group.filter(({ noiseRmsCents, boundRmsCents }) => isKnown(noiseRmsCents) && isKnown(boundRmsCents)),
  )
  const boundSdCents = tooFew(both) ? null : rms(both.flat().map((score) => score.boundRmsCents))
  const boundRatio = boundSdCents ? bootstrap(both, ratioOfDrawn, seedOf('boundRatio')) : null
  const boundLockS = medianOfDrawn(scores.map((score) => timeOrNever(score.boundLockS)))
  return {
    n: scores.length,
    failed,
    missing: shareOf('missing'),
    grossRate: shareOf('gross'),
    octaveRate: shareOf('octave'),
    offsetCents: medianOf('offsetCents'),
    noiseErrorCents: medianOf('noiseErrorCents'),
    medianAbsCents: medianOf('medianAbsCents'),
    sdCents: intervalOf(
      'sdCents',
      valuesOf((score) => score.noiseRmsCents),
      rms,
    ),
    boundSdCents,
    boundRatio,
    boundNote: boundRatio !== null && boundRatio.high < 1 ? noteBelow(boundSdCents ?? 0) : null,
    firstSteadyS: timeOf('firstSteadyS'),
    lockS: timeOf('lockS'),
    within5S: timeOf('within5S'),
    within1S: timeOf('within1S'),
    boundLockS: isKnown(boundLockS) ? boundLockS : null,
    trueRate: rateOf('true'),
    falseRoomRate: rateOf('room', 'premature'),
    falseStructuralRate: rateOf('structural'),
    noLockRate: rateOf('none'),
    ...levelFigures(outcomes, seed, levelsKnown),
  }
}

const levelTellers = {
  inBandMedianDb: (levels: Levels) => levels.inBandMedianDb,
  inBandMinDb: (levels: Levels) => levels.inBandMinDb,
  ratioAt02S: (levels: Levels) => levels.ratioAtDb[0],
  ratioAt05S: (levels: Levels) => levels.ratioAtDb[1],
  ratioAt1S: (levels: Levels) => levels.ratioAtDb[2],
  ratioAt2S: (levels: Levels) => levels.ratioAtDb[3],
  foreignCents: (levels: Levels) => levels.foreignCents,
}

/** By the trials that they are of: the methods of a cell share them. */
type KnownLevels = Map<string, LevelFigures>

/** Seeded by the trials, not by the method: what is the same for all methods reads the same for all. */
function levelFigures(outcomes: readonly Outcome[], seed: number, known: KnownLevels): LevelFigures {
  const strata = new Map<string, Levels[]>()
  const trials: number[] = []
  for (const outcome of outcomes) {
    // What a host has kept of an older version has no such field at all.
    const levels = outcome.state === 'failed' ? null : (outcome.levels ?? null)
    if (levels === null) continue
    trials.push(outcome.trial.index)
    const stratum = strata.get(outcome.trial.string)
    if (stratum === undefined) strata.set(outcome.trial.string, [levels])
    else stratum.push(levels)
  }
  const key = JSON.stringify(trials)
  const found = known.get(key)
  if (found !== undefined) return found
  const groups = Array.from(strata.values())
  const entries = Object.entries(levelTellers).map(([name, tell]): [string, Figure | null] => {
    const values = groups.map((group) => group.map(tell).filter(isKnown))
    const few = values.flat().length < Math.min(2, Math.max(1, trials.length))
    return [name, few ? null : bootstrap(values, median, hashOf(JSON.stringify([seed, key, name])))]
  })
  const figures = Object.fromEntries(entries) as unknown as LevelFigures
  known.set(key, figures)
  return figures
}

type TimeKey = 'firstSteadyS' | 'lockS' | 'within5S' | 'within1S'

const isKnown = (value: unknown): value is number => typeof value === 'number' && Number.isFinite(value)

const timeOrNever = (timeS: unknown): number => (isKnown(timeS) ? timeS : Number.POSITIVE_INFINITY)

type Statistic = (drawn: readonly number[]) => number

/**
 * Median with "never" as Infinity. With exactly half of the trials it is the last of them: by then half had come, which is
 * what the median of a waiting time means; the usual halfway to the next one would be beyond any take.
 */
function medianOfDrawn(drawn: readonly number[]): number {
  const usual = median(drawn)
  if (usual !== Number.POSITIVE_INFINITY) return usual
  const sorted = new Float64Array(drawn).sort()
  return sorted[(sorted.length - 1) >> 1]
}

function ratioOfDrawn(drawn: readonly Score[]): number {
  let [noise, bound] = [0, 0]
  for (const { noiseRmsCents, boundRmsCents } of drawn) {
    noise += noiseRmsCents * noiseRmsCents
    bound += boundRmsCents * boundRmsCents
  }
  return Math.sqrt(noise / bound)
}

/** Standard deviation of errors spread evenly over the 50 c either side that are not gross. */
const evenSpreadCents = 50 / Math.sqrt(3)

function noteBelow(boundSdCents: number): string {
  if (boundSdCents > evenSpreadCents / 2) {
    return 'errors of 50 c and more are counted as gross and left out, which trims the deviation here'
  }
  return (
    'the readings know more than their own evidence tells: the note in hand (aimed methods), earlier readings, ' +
    'or a pull towards one value (bias)'
  )
}

/**
 * What to call a choice among `choices`: the id; its settings where the method stands there with several; its display and the
 * stages before it in any case, for a method and what is seen of it are never the same. Different choices of a study have different names.
 */
export function methodNames(choices: readonly MethodChoice[]): (choice: MethodChoice) => string {
  const variants = new Map<string, Set<string>>()
  for (const { id, values } of choices) {
    const known = variants.get(id) ?? new Set()
    variants.set(id, known.add(nameOf({ id, values }, true)))
  }
  return (choice) => nameOf(choice, (variants.get(choice.id)?.size ?? 1) > 1)
}

/** "yin hop=512 300 ms 10 Hz ±3 c gate -50 dB", "partial-fit after yin ±5 c". */
function nameOf({ id, values, display, after = [] }: MethodChoice, withValues: boolean): string {
  const settings = Object.entries(values).sort(([a], [b]) => (a < b ? -1 : 1))
  const parts = withValues ? [id, ...settings.map(([name, value]) => `${name}=${value}`)] : [id]
  const before = after.map((stage) => `after ${nameOf(stage, true)} ±${stage.letGoCents} c`)
  return [...parts, ...(display === undefined ? [] : displayWords(display)), ...before].join(' ')
}

function displayWords({ averagingMs, updateHz, inRangeCents, gateDb }: DisplaySettings): string[] {
  return [
    `${averagingMs} ms ${updateHz} Hz`,
    ...(inRangeCents > 0 ? [`±${inRangeCents} c`] : []),
    ...(gateDb > displayGateOpenDb ? [`gate ${gateDb} dB`] : []),
  ]
}

/** The lowest that a gate can be set to: as good as none. */
const displayGateOpenDb = -120

/** FNV-1a over UTF-16 units (Fowler, Noll, Vo): 32 bits, the same in every engine. */
function hashOf(text: string): number {
  let hash = 0x811c9dc5
  for (let i = 0; i < text.length; i++) hash = Math.imul(hash ^ text.charCodeAt(i), 0x01000193)
  return hash >>> 0
}
