/**
 * A plan as it is written down: the shape that `plan --json` prints. No value is null; infinite is null too.
 */
import type { Figure } from '../maths/statistics.ts'
import type { Chain } from './chain.ts'
import type { PlanWanted } from './outcome.ts'
import type { FrontierPoint, Plan, PlanRequest, Prepared } from './plan.ts'
import { type ChoiceOffered, chainSentences, choicesOf, paysSentence, verdictSentence } from './sentences.ts'
import { type PaySpan, type Quickest, stagesPay } from './stagespay.ts'
import { type WhatIf, whatIfs } from './whatif.ts'

export interface ToldStage {
  readonly method: string
  readonly letGoCents: number
  readonly handOver: 'confirm' | 'turn-once'
  readonly ahead: boolean
}

/** When several methods pay and when one is enough, whatever the budget. */
export interface ToldPays {
  /** null: no time is enough. */
  readonly sentence: string | null
  /** Rising; `toS` null: every longer budget too. */
  readonly spans: readonly (Omit<PaySpan, 'toS'> & { readonly toS: number | null })[]
  readonly alone: ToldQuickest | null
  readonly together: ToldQuickest | null
  readonly savedS: Figure | null
}

export interface ToldQuickest {
  readonly stages: readonly ToldStage[]
  readonly neededS: number
}

export interface ToldPlan {
  readonly schema: 1
  readonly instrument: string
  readonly room: string
  readonly snrDb: number
  readonly bridge: 'fixed' | 'floating'
  readonly seed: number
  readonly wanted: PlanWanted
  readonly verdict: Plan['verdict']
  readonly sentences: readonly string[]
  readonly pays: ToldPays
  readonly stages: readonly ToldStage[]
  readonly chance: Figure
  readonly timeMeanS: Figure
  readonly timeP90S: Figure
  readonly worstP95Cents: Figure
  readonly unverified: { readonly chance: Figure; readonly strings: Plan['figures']['unverifiedByString'] }
  readonly buysMost: readonly WhatIf[]
  readonly neededS: number | null
  readonly reachableCents: number | null
  readonly choices: readonly ChoiceOffered[]
  readonly frontier: readonly (Omit<FrontierPoint, 'chain'> & { readonly stages: readonly ToldStage[] })[]
  /** Methods that another one beats on every string at every ratio. */
  readonly leftOut: readonly string[]
  readonly caution: string | null
}

export function told(prepared: Prepared, plan: Plan, wanted: PlanWanted, instrument: string): ToldPlan {
  const { request, left } = prepared
  const { records, snrDb, bridge, seed } = request
  const { figures, chain } = plan
  return {
    schema: 1,
    ...{ instrument, room: records.room, snrDb, bridge, seed, wanted },
    verdict: plan.verdict,
    sentences: [verdictSentence(plan, wanted), ...chainSentences(plan, request)],
    pays: toldPays(prepared, plan, wanted),
    stages: toldStages(chain, request),
    chance: figures.chance,
    timeMeanS: figures.timeMeanS,
    timeP90S: figures.timeP90S,
    worstP95Cents: figures.worstP95Cents,
    unverified: { chance: figures.unverified, strings: figures.unverifiedByString },
    buysMost: whatIfs(prepared, chain, wanted),
    neededS: finite(plan.neededS),
    reachableCents: finite(plan.reachableCents),
    choices: choicesOf(plan, wanted),
    frontier: plan.frontier.map(({ chain: stages, ...point }) => ({
      ...point,
      stages: point.kind === 'hand-floor' ? [] : toldStages(stages, request),
    })),
    leftOut: left.map((at) => records.methods[at].id),
    caution: plan.caution,
  }
}

function toldPays(prepared: Prepared, plan: Plan, wanted: PlanWanted): ToldPays {
  const { request } = prepared
  const pays = stagesPay(prepared, wanted)
  const toldQuickest = (quickest: Quickest | null): ToldQuickest | null =>
    quickest === null ? null : { stages: toldStages(quickest.chain, request), neededS: quickest.neededS }
  return {
    sentence: paysSentence(pays, plan, request),
    spans: pays.spans.map((span) => ({ ...span, toS: finite(span.toS) })),
    alone: toldQuickest(pays.alone),
    together: toldQuickest(pays.together),
    savedS: pays.savedS,
  }
}

const toldStages = ({ stages }: Chain, { records }: PlanRequest): ToldStage[] =>
  stages.map(({ method, letGoCents, handOver, ahead = false }) => ({
    method: records.methods[method].id,
    ...{ letGoCents, handOver, ahead },
  }))

const finite = (value: number): number | null => (Number.isFinite(value) ? value : null)
