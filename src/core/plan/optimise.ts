/**
 * Which chains are worth considering: looked through with few episodes, the non-dominated ones again with many.
 *
 * Dominance is in three numbers that know neither budget nor tolerance: time of nine runs in ten, worst string left (P95), and the
 * chance that all strings end verified. So one set of candidates serves every budget and tolerance, and a larger one of either
 * can never find less. Chains of one method (over the strings once or twice), chains that nobody checks, and chains of several are layered
 * apart, so one-method chains are always among the candidates. Of first stages only the most promising are followed (a beam); they are remembered
 * as standings, so a chain costs its last stage only. Chance is common to all (draws.ts). A method is left out when another is
 * no worse on every string and at every recorded ratio: in how often it locks, in the quantiles of its lock times, and of its
 * errors given a lock.
 */
import { mean, quantile, rms } from '../maths/statistics.ts'
import { type Chain, methodsOf, type Stage } from './chain.ts'
import { afterStage, type Setting, type Standing, startOf } from './episodes.ts'
import { type ChainOutcome, outcomeOf } from './outcome.ts'
import type { PlanRecords } from './records.ts'

/** Let-go of the last stage, cents: from under every peg to what a dense band forgives, in steps of about half. */
const lastLetGoCents = [0.5, 1, 1.5, 2, 3, 4.5, 7] as const
/** Let-go of an earlier stage, cents: what the next one would turn anyway. */
const roughLetGoCents = [5, 9, 16] as const
/** Layers of dominance that are run again: the second keeps what few episodes put there by chance. */
const layers = 2

export interface Search {
  /** The same records, hand and room with tables of chance of different length. */
  readonly screening: Setting
  readonly final: Setting
  /** Places in `records.methods`. */
  readonly methods: readonly number[]
  /** Whether stages that turn ahead are looked at: one string pulls on the others. */
  readonly ahead: boolean
}

/** Outcomes over the final episodes, one-method chains first; [] when cancelled, which is asked now and then. */
export function candidates(search: Search, isCancelled: () => boolean = () => false): ChainOutcome[] {
  const { screening, methods, final } = search
  const start = startOf(screening)
  const screened = (stages: readonly Stage[], before: Standing, verified = true): Ranked => {
    const last = stages[stages.length - 1] as Stage
    const standing = afterStage(screening, before, last, verified)
    return ranked(outcomeOf({ stages, verified }, standing, screening.strings.length))
  }

  const alone: Ranked[] = []
  const unchecked: Ranked[] = []
  for (const method of methods) {
    for (const letGoCents of lastLetGoCents) {
      const stage: Stage = { method, letGoCents, handOver: 'confirm' }
      alone.push(screened([stage], start))
      if (search.ahead) alone.push(screened([{ ...stage, ahead: true }], start))
      // Without a check nothing is verified: what is reached when there is no time for one.
      unchecked.push(screened([stage], start, false))
    }
    unchecked.push(screened([{ method, letGoCents: 4.5, handOver: 'turn-once' }], start, false))
  }
  const two: Ranked[] = []
  for (const { stage, standing } of beam(search, start)) {
    if (isCancelled()) return []
    for (const method of methods) {
      for (const letGoCents of lastLetGoCents) {
        // One method may go over the strings twice as well, else two would seem to pay for the second pass alone.
        const pair = screened([stage, { method, letGoCents, handOver: 'confirm' }], standing)
        if (method === stage.method) alone.push(pair)
        else two.push(pair)
      }
    }
  }
  const kept = nonDominated(two, layers)
  // A middle stage: the fine method once over everything before it settles each string.
  const three = kept.map(({ outcome }) => {
    const [first, last] = outcome.chain.stages
    const middle: Stage = { method: last.method, letGoCents: 2 * last.letGoCents, handOver: 'turn-once' }
    const before = afterStage(screening, afterStage(screening, start, first, false), middle, false)
    return screened([first, middle, last], before)
  })
  if (isCancelled()) return []
  const found = [...nonDominated(alone, layers), ...nonDominated(unchecked, 1)]
  const chains = [...found, ...nonDominated([...kept, ...three], layers)].map(({ outcome }) => outcome.chain)
  return outcomesOf(final, chains)
}

/** First stages that leave least for their time: the widest spread of residuals counts, the last stage has to turn it. */
function beam({ screening, methods, ahead }: Search, start: Standing): { stage: Stage; standing: Standing }[] {
  const stages = methods.flatMap((method): Stage[] => [
    ...roughLetGoCents.flatMap((letGoCents) =>
      (['confirm', 'turn-once'] as const).map((handOver) => ({ method, letGoCents, handOver })),
    ),
    ...(ahead ? [{ method, letGoCents: 3, handOver: 'confirm' as const, ahead: true }] : []),
  ])
  const tried = stages.map((stage) => {
    const standing = afterStage(screening, start, stage, false)
    return { stage, standing, costS: mean(standing.timeS) + secondsPerCent * rms(standing.residualCents) }
  })
  return tried.sort((a, b) => a.costS - b.costS).slice(0, beamWidth)
}

/** First stages followed further. */
const beamWidth = 14
/** What a cent left on every string costs the next stage: six strings, a quarter of them turned once more for each (a rough price, for ranking only). */
const secondsPerCent = 1

interface Ranked {
  readonly outcome: ChainOutcome
  readonly timeP90S: number
  readonly worstP95Cents: number
  readonly unverified: number
}

const ranked = (outcome: ChainOutcome): Ranked => ({
  outcome,
  timeP90S: quantile(outcome.timeS, 0.9),
  worstP95Cents: quantile(outcome.worstCents, 0.95),
  unverified: outcome.unverified.reduce((count, strings) => count + (strings > 0 ? 1 : 0), 0),
})

/** The first `count` layers of what nothing else beats in all three; fewer methods and fewer stages go before equals. */
function nonDominated(all: readonly Ranked[], count: number): Ranked[] {
  const size = ({ outcome: { chain } }: Ranked): number => 10 * methodsOf(chain).length + chain.stages.length
  let left = [...all].sort((a, b) => size(a) - size(b))
  const kept: Ranked[] = []
  for (let layer = 0; layer < count && left.length > 0; layer++) {
    const front: Ranked[] = []
    const rest: Ranked[] = []
    for (const one of left) {
      if (left.some((other) => other !== one && beats(other, one))) rest.push(one)
      else front.push(one)
    }
    kept.push(...front)
    left = rest
  }
  return kept
}

const beats = (a: Ranked, b: Ranked): boolean =>
  a.timeP90S <= b.timeP90S &&
  a.worstP95Cents <= b.worstP95Cents &&
  a.unverified <= b.unverified &&
  (a.timeP90S < b.timeP90S || a.worstP95Cents < b.worstP95Cents || a.unverified < b.unverified)

/** Runs chains over all of a setting's episodes; stages in common are worked through once. */
export function outcomesOf(setting: Setting, chains: readonly Chain[]): ChainOutcome[] {
  const standings = new Map<string, Standing>()
  const start = startOf(setting)
  const standingAfter = (stages: readonly Stage[]): Standing => {
    if (stages.length === 0) return start
    const key = JSON.stringify(stages)
    const known = standings.get(key)
    if (known !== undefined) return known
    const made = afterStage(setting, standingAfter(stages.slice(0, -1)), stages[stages.length - 1] as Stage, false)
    standings.set(key, made)
    return made
  }
  return chains.map((chain) => {
    const last = chain.stages[chain.stages.length - 1] as Stage
    const before = standingAfter(chain.stages.slice(0, -1))
    const after = afterStage(setting, before, last, chain.verified)
    return outcomeOf(chain, after, setting.strings.length)
  })
}

/** Methods that are worth a place in a chain: the rest are no better anywhere than one that stays. Places in `records.methods`. */
export function undominated(records: PlanRecords): number[] {
  const profiles = records.methods.map((_, method) => profileOf(records, method))
  return records.methods.flatMap((_, method) => {
    const beaten = profiles.some(
      (other, rival) =>
        rival !== method &&
        noWorse(other, profiles[method]) &&
        // Of two that are alike the first stays.
        (rival < method || !noWorse(profiles[method], other)),
    )
    return beaten ? [] : [method]
  })
}

const compared = [0.1, 0.25, 0.5, 0.75, 0.9] as const

/** Everything a method is compared by; lower is better. */
function profileOf(records: PlanRecords, method: number): number[] {
  return records.cells.flatMap((cells) =>
    cells.flatMap((cell) => {
      const locks = cell.lockS.subarray(method * cell.n, (method + 1) * cell.n)
      const errors = cell.errorCents.subarray(method * cell.n, (method + 1) * cell.n).map(Math.abs)
      const unlocked = locks.reduce((count, lockS) => count + (Number.isNaN(lockS) ? 1 : 0), 0) / cell.n
      // A method that never locks has no errors; it is worse by its locks.
      const of = (values: Float64Array): number[] =>
        compared.map((share) => (unlocked === 1 ? Number.POSITIVE_INFINITY : quantile(values, share)))
      return [unlocked, ...of(locks), ...of(errors)]
    }),
  )
}

const noWorse = (a: readonly number[], b: readonly number[]): boolean => a.every((value, at) => value <= b[at])
