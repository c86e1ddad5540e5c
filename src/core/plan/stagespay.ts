/**
 * When several methods pay and when one is enough: the choice at every budget, for one tolerance and one wanted chance, and how much
 * sooner the quickest chain of several methods is done than the quickest of one.
 *
 * Several pay where the choice (choose.ts) takes them: a chain of one method falls short of the wanted chance, or of the best one by
 * more than its margin. That happens where the fine method cannot be waited for at every pluck, as behind a slow display, and
 * there is not time enough for it to do the work alone.
 */
import { randomStream } from '../maths/random.ts'
import { type Figure, quantile } from '../maths/statistics.ts'
import { type Chain, methodsOf } from './chain.ts'
import { choicesUpTo } from './choose.ts'
import { type ChainOutcome, neededS, type PlanWanted, succeeds } from './outcome.ts'
import { type Prepared, resampledOf } from './plan.ts'

/** Budgets of whole seconds, both ends among them, that one kind of chain is chosen for and has the wanted chance. */
export interface PaySpan {
  readonly kind: 'one-method' | 'chain'
  readonly fromS: number
  /** Infinity: for every longer budget too. */
  readonly toS: number
}

export interface Quickest {
  readonly chain: Chain
  /** Budget that gives it the wanted chance. */
  readonly neededS: number
}

export interface StagesPay {
  /** Rising; [] where no budget is enough. */
  readonly spans: readonly PaySpan[]
  /** Of the chains of one method, and of those of several; null: none has the wanted chance, however long it takes. */
  readonly alone: Quickest | null
  readonly together: Quickest | null
  /** How much less time the quickest of several needs, s; null where there is no such pair. */
  readonly savedS: Figure | null
}

export function stagesPay(prepared: Prepared, { withinCents, wantedChance }: Omit<PlanWanted, 'budgetS'>): StagesPay {
  const verified = prepared.outcomes.filter(({ chain }) => chain.verified)
  const quickest = (several: boolean): Quickest | null =>
    verified
      .filter(({ chain }) => methodsOf(chain).length > 1 === several)
      .map((outcome) => ({ chain: outcome.chain, neededS: neededS(outcome, withinCents, wantedChance) }))
      .reduce<Quickest | null>(
        (best, one) => (one.neededS < (best?.neededS ?? Number.POSITIVE_INFINITY) ? one : best),
        null,
      )
  const [alone, together] = [quickest(false), quickest(true)]
  return {
    spans: spansOf(verified, withinCents, wantedChance),
    ...{ alone, together },
    savedS:
      alone === null || together === null ? null : savedFigure(prepared, alone, together, withinCents, wantedChance),
  }
}

function spansOf(verified: readonly ChainOutcome[], withinCents: number, wantedChance: number): PaySpan[] {
  const spans: { kind: PaySpan['kind']; fromS: number; toS: number }[] = []
  const longest = { budgetS: longestS(verified, withinCents), withinCents, wantedChance }
  for (const { budgetS, choice } of choicesUpTo(verified, longest)) {
    if (choice === null) continue
    const kind = methodsOf(choice.outcome.chain).length > 1 ? 'chain' : 'one-method'
    const last = spans[spans.length - 1]
    if (last?.kind === kind) last.toS = budgetS
    else spans.push({ kind, fromS: budgetS, toS: budgetS })
  }
  const last = spans[spans.length - 1]
  if (last !== undefined) last.toS = Number.POSITIVE_INFINITY
  return spans
}

/** With more time than this no further episode of any chain would succeed, so nothing changes any more. Whole seconds. */
function longestS(outcomes: readonly ChainOutcome[], withinCents: number): number {
  let longest = 0
  for (const outcome of outcomes) {
    for (const [episode, timeS] of outcome.timeS.entries()) {
      if (timeS > longest && succeeds(outcome, episode, { budgetS: timeS, withinCents })) longest = timeS
    }
  }
  return Math.ceil(longest)
}

/**
 * Recorded plucks and episodes drawn anew, the same for both chains. A round in which a chain misses the wanted chance counts with
 * its longest episode: it needs at least that.
 */
function savedFigure(
  { setting, request }: Prepared,
  alone: Quickest,
  together: Quickest,
  withinCents: number,
  wantedChance: number,
): Figure {
  const n = setting.draws.episodes
  const [before, after] = [alone, together].map(({ chain }) => resampledOf(setting, request, chain))
  const values = before.map((one, round) => {
    const random = randomStream(request.seed, 'episodes', round)
    const episodes = Uint32Array.from({ length: n }, () => random.whole(n))
    const needs = (outcome: ChainOutcome): number => {
      const drawn = drawnAgain(outcome, episodes)
      return Math.min(neededS(drawn, withinCents, wantedChance), Math.max(...drawn.timeS))
    }
    return needs(one) - needs(after[round])
  })
  return {
    value: alone.neededS - together.neededS,
    low: quantile(values, 0.025),
    high: quantile(values, 0.975),
    n,
  }
}

const drawnAgain = (outcome: ChainOutcome, episodes: Uint32Array): ChainOutcome => ({
  ...outcome,
  timeS: Float64Array.from(episodes, (episode) => outcome.timeS[episode]),
  worstCents: Float64Array.from(episodes, (episode) => outcome.worstCents[episode]),
  unverified: Uint8Array.from(episodes, (episode) => outcome.unverified[episode]),
})
