/**
 * With this many seconds for this instrument: which method first, where to switch, when to stop, and what will be left.
 *
 * All figures are shares and quantiles of imagined evenings (episodes.ts) drawn from recorded plucks; their intervals draw both
 * the recorded plucks and the episodes anew. The same request gives the same plan.
 */
import { randomStream } from '../maths/random.ts'
import { type Figure, quantile } from '../maths/statistics.ts'
import { Problem } from '../problem.ts'
import { type Chain, methodsOf } from './chain.ts'
import { choose } from './choose.ts'
import { fixedCoupling, floatingCoupling } from './coupling.ts'
import { Draws } from './draws.ts'
import type { Setting } from './episodes.ts'
import { perfectRecords } from './floor.ts'
import type { Hand, Work } from './hand.ts'
import { candidates, outcomesOf, undominated } from './optimise.ts'
import {
  type ChainOutcome,
  chanceOf,
  neededS,
  type PlanWanted,
  reachableCents,
  succeeds,
  type Wanted,
} from './outcome.ts'
import { RecordedPlucks } from './plucks.ts'
import { checkRange, type PlanRecords, shortOf, snappedOf } from './records.ts'

export interface PlanRequest {
  readonly records: PlanRecords
  readonly snrDb: number
  readonly bridge: 'fixed' | 'floating'
  readonly hand: Hand
  readonly work: Work
  /** Whether what each method reads off in quiet was taken on these very strings, and is subtracted. */
  readonly offsetsKnown: boolean
  readonly seed: number
}

/** What does not depend on budget and tolerance; made once, asked often. */
export interface Prepared {
  readonly request: PlanRequest
  readonly setting: Setting
  readonly outcomes: readonly ChainOutcome[]
  readonly floor: readonly ChainOutcome[]
  /** Places of methods that another beats everywhere. */
  readonly left: readonly number[]
}

/** Enough to tell chains apart that differ by a tenth in time; what is close is run again. */
const screeningEpisodes = 64
/** A chance of 0.8 is then known to 0.018. */
const finalEpisodes = 512
/** The outermost of 60 stand for 2.5 and 97.5 % to a tenth of the interval; more would take longer than a person waits. */
const intervalRounds = 60

/**
 * `wantsFloor` false: the hand's own floor is left out, and with it a fifth of the time.
 * @throws Problem for a ratio outside the records, and for strings that cannot be tuned in passes.
 */
export function prepare(
  request: PlanRequest,
  isCancelled: () => boolean = () => false,
  wantsFloor = true,
): Prepared | null {
  const { records, seed, bridge } = request
  checkRange(records, request.snrDb)
  const drawsOf = (episodes: number): Draws => new Draws(seed, episodes, records.strings.length)
  const [few, many] = [drawsOf(screeningEpisodes), drawsOf(finalEpisodes)]
  const setting = settingOf(request, many)
  const methods = undominated(records)
  const ahead = bridge === 'floating'
  const outcomes = candidates({ screening: { ...setting, draws: few }, final: setting, methods, ahead }, isCancelled)
  if (outcomes.length === 0) return null
  const perfect = { ...request, records: perfectRecords(records), offsetsKnown: false }
  const floor = wantsFloor
    ? candidates({
        screening: settingOf(perfect, few),
        final: settingOf(perfect, many),
        methods: [0],
        ahead,
      })
    : []
  const left = records.methods.flatMap((_, at) => (methods.includes(at) ? [] : [at]))
  return { request, setting, outcomes, floor, left }
}

/** A request as it is worked through. Nobody waits longer for a claim than was recorded. */
export function settingOf(request: PlanRequest, draws: Draws): Setting {
  const { records, snrDb, bridge, hand, work, offsetsKnown } = request
  const { strings } = records
  return {
    ...{ strings, snrDb, hand, draws, offsetsKnown },
    work: { ...work, timeOutS: Math.min(work.timeOutS, records.waitedS) },
    coupling:
      bridge === 'fixed' ? fixedCoupling(strings.length, work.coupling) : floatingCoupling(strings, work.bridgeNPerMm),
    plucks: new RecordedPlucks(records),
  }
}

export interface StringLeft {
  readonly string: string
  readonly chance: number
}

export interface FrontierPoint {
  readonly kind: 'one-method' | 'chain' | 'unverified' | 'hand-floor'
  readonly chain: Chain
  readonly timeP90S: number
  readonly worstP95Cents: number
  readonly chance: number
}

export interface PlanFigures {
  /** All verified, within the tolerance, in time. */
  readonly chance: Figure
  readonly timeMeanS: Figure
  readonly timeP90S: Figure
  readonly worstP95Cents: Figure
  /** Some string stays unverified. */
  readonly unverified: Figure
  /** Of each string, in the instrument's order. */
  readonly unverifiedByString: readonly StringLeft[]
}

export interface Plan {
  readonly verdict: 'one-method' | 'chain' | 'infeasible'
  readonly chain: Chain
  readonly figures: PlanFigures
  /** Time that gives the wanted chance at this tolerance with any chain; Infinity: none does. */
  readonly neededS: number
  /** Tolerance that has the wanted chance in this time, verified or not; Infinity: nothing is done in time. */
  readonly reachableCents: number
  /** Whether the reachable tolerance is one that gets checked. */
  readonly reachableVerified: boolean
  readonly frontier: readonly FrontierPoint[]
  /** Why the figures may not hold; null: enough was recorded. */
  readonly caution: string | null
}

/** Four evenings in five: what a person would rely on (assumption). */
export const defaultChance = 0.8

export function planFor(prepared: Prepared, wanted: PlanWanted): Plan {
  const { outcomes, request } = prepared
  const { budgetS, withinCents, wantedChance } = wanted
  const verified = outcomes.filter(({ chain }) => chain.verified)
  const choice = choose(verified, wanted)
  const needed = Math.min(...verified.map((outcome) => neededS(outcome, withinCents, wantedChance)))
  const reach = outcomes.reduce<{ cents: number; outcome: ChainOutcome | null }>(
    (best, outcome) => {
      const cents = reachableCents(outcome, budgetS, wantedChance)
      return cents < best.cents ? { cents, outcome } : best
    },
    { cents: Number.POSITIVE_INFINITY, outcome: null },
  )
  const outcome = choice?.outcome ?? reach.outcome ?? soonest(outcomes)
  return {
    verdict: choice === null ? 'infeasible' : methodsOf(outcome.chain).length === 1 ? 'one-method' : 'chain',
    chain: outcome.chain,
    figures: figuresOf(prepared, outcome.chain, wanted),
    neededS: needed,
    reachableCents: reach.cents,
    reachableVerified: reach.outcome?.chain.verified ?? false,
    frontier: frontierOf(prepared, wanted),
    caution: cautionOf(request),
  }
}

const cautionOf = ({ records, snrDb }: PlanRequest): string | null =>
  [shortOf(records), snappedOf(records, snrDb)].filter((one) => one !== null).join('. ') || null

const soonest = (outcomes: readonly ChainOutcome[]): ChainOutcome =>
  outcomes.reduce((a, b) => (quantile(b.timeS, 0.9) < quantile(a.timeS, 0.9) ? b : a))

/** A chain's own numbers with intervals over recorded plucks and episodes, both drawn anew. */
export function figuresOf(prepared: Prepared, chain: Chain, wanted: Wanted): PlanFigures {
  const { request, setting } = prepared
  const [outcome] = outcomesOf(setting, [chain])
  const n = outcome.timeS.length
  const replicates = resampledOf(setting, request, chain).map((again, round) => {
    const random = randomStream(request.seed, 'episodes', round)
    return figuresAt(
      again,
      wanted,
      Uint32Array.from({ length: n }, () => random.whole(n)),
    )
  })
  const whole = figuresAt(
    outcome,
    wanted,
    Uint32Array.from({ length: n }, (_, episode) => episode),
  )
  const figure = (name: keyof typeof whole): Figure => {
    const values = replicates.map((replicate) => replicate[name])
    return { value: whole[name], low: quantile(values, 0.025), high: quantile(values, 0.975), n }
  }
  return {
    chance: figure('chance'),
    timeMeanS: figure('timeMeanS'),
    timeP90S: figure('timeP90S'),
    worstP95Cents: figure('worstP95Cents'),
    unverified: figure('unverified'),
    unverifiedByString: request.records.strings.map(({ id }, i) => ({
      string: id,
      chance: outcome.unverifiedByString[i] / n,
    })),
  }
}

const resampled = new WeakMap<Setting, Map<string, readonly ChainOutcome[]>>()

/**
 * The chain's outcomes with the recorded plucks drawn anew, a round each. They know neither budget nor tolerance, so they are kept
 * as long as the setting is: whoever moves a budget waits for them once.
 */
export function resampledOf(setting: Setting, { records, seed }: PlanRequest, chain: Chain): readonly ChainOutcome[] {
  const known = resampled.get(setting) ?? new Map<string, readonly ChainOutcome[]>()
  resampled.set(setting, known)
  const key = JSON.stringify(chain)
  const found =
    known.get(key) ??
    Array.from({ length: intervalRounds }, (_, round) => {
      const plucks = new RecordedPlucks(records, seed + round + 1)
      return outcomesOf({ ...setting, plucks }, [chain])[0]
    })
  known.set(key, found)
  return found
}

function figuresAt(outcome: ChainOutcome, wanted: Wanted, episodes: Uint32Array) {
  const times = Float64Array.from(episodes, (episode) => outcome.timeS[episode])
  const share = (holds: (episode: number) => boolean): number =>
    episodes.reduce((count, episode) => count + (holds(episode) ? 1 : 0), 0) / episodes.length
  return {
    chance: share((episode) => succeeds(outcome, episode, wanted)),
    timeMeanS: times.reduce((sum, value) => sum + value, 0) / times.length,
    timeP90S: quantile(times, 0.9),
    worstP95Cents: quantile(
      Float64Array.from(episodes, (episode) => outcome.worstCents[episode]),
      0.95,
    ),
    unverified: share((episode) => outcome.unverified[episode] > 0),
  }
}

/** What cannot be had sooner without being worse, of each kind; times strictly rise and the worst string strictly falls. */
function frontierOf({ outcomes, floor }: Prepared, wanted: Wanted): FrontierPoint[] {
  const kindOf = ({ chain }: ChainOutcome): FrontierPoint['kind'] =>
    !chain.verified ? 'unverified' : methodsOf(chain).length === 1 ? 'one-method' : 'chain'
  const points = [
    ...outcomes.map((outcome) => ({ outcome, kind: kindOf(outcome) })),
    ...floor.filter(({ chain }) => chain.verified).map((outcome) => ({ outcome, kind: 'hand-floor' as const })),
  ].map(
    ({ outcome, kind }): FrontierPoint => ({
      kind,
      chain: outcome.chain,
      timeP90S: quantile(outcome.timeS, 0.9),
      worstP95Cents: quantile(outcome.worstCents, 0.95),
      chance: chanceOf(outcome, { budgetS: Number.POSITIVE_INFINITY, withinCents: wanted.withinCents }),
    }),
  )
  return (['one-method', 'chain', 'unverified', 'hand-floor'] as const).flatMap((kind) => {
    const sorted = points.filter((point) => point.kind === kind).sort((a, b) => a.timeP90S - b.timeP90S)
    const front: FrontierPoint[] = []
    for (const point of sorted) {
      const last = front[front.length - 1]
      if (last !== undefined && point.worstP95Cents >= last.worstP95Cents) continue
      if (last !== undefined && point.timeP90S === last.timeP90S) front.pop()
      front.push(point)
    }
    return front
  })
}

/** @throws Problem for a wish that makes no sense. */
export function checkWanted({ budgetS, withinCents, wantedChance }: PlanWanted): void {
  if (!(budgetS >= 1 && budgetS <= 3600)) throw new Problem(`${budgetS} is not between 1 and 3600 s`, 'budget')
  if (!(withinCents >= 0.1 && withinCents <= 50))
    throw new Problem(`${withinCents} is not between 0.1 and 50 c`, 'within')
  if (!(wantedChance > 0 && wantedChance < 1)) throw new Problem(`${wantedChance} is not between 0 and 1`, 'chance')
}
