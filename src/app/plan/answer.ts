/**
 * What the planner answers, for one wish as it is and one with the "what if" laid over it. Preparing takes most of the time and knows
 * neither budget nor tolerance: what was prepared last is kept, so that a slider moves at the pace of a hand.
 */

import type { Figure } from '../../core/maths/statistics.ts'
import { mean, quantile } from '../../core/maths/statistics.ts'
import type { Chain } from '../../core/plan/chain.ts'
import { neverTurnCents } from '../../core/plan/hand.ts'
import { outcomesOf } from '../../core/plan/optimise.ts'
import { checkWanted, type PlanWanted, type Prepared, planFor, prepare } from '../../core/plan/plan.ts'
import type { PlanRecords } from '../../core/plan/records.ts'
import { type ToldPlan, told } from '../../core/plan/told.ts'
import { gainFigure } from '../../core/plan/whatif.ts'
import type { Request } from './choices.ts'
import { withMethods } from './records.ts'
import { type Heard, type WhatIfId, withWhatIfs } from './whatif.ts'

export interface PlanAsk {
  readonly records: PlanRecords
  /** Of the records: the same text means the same records. */
  readonly recordsKey: string
  readonly heard: Heard
  readonly instrument: string
  readonly request: Request
  readonly wanted: PlanWanted
  readonly whatIf: readonly WhatIfId[]
}

export interface PlanSide {
  readonly told: ToldPlan
  /** Mean time of every step, the check last where there is one, s. */
  readonly stepsS: readonly number[]
  /** Of the change that buys most: more runs that succeed; null: nothing that was tried helps, or not asked for. */
  readonly gain: Figure | null
  /** Every string plucked and none turned: how long it takes and how far the strings stand off. */
  readonly checkOnly: { readonly timeP90S: number; readonly worstP95Cents: number }
}

export interface PlanAnswer {
  readonly base: PlanSide
  /** null: nothing of what was asked can be answered from these records, or nothing was asked. */
  readonly changed: PlanSide | null
  readonly asked: readonly WhatIfId[]
}

/** A wish, its change, and a few changes back. */
const preparedKept = 6
const sidesKept = 24

export class Planner {
  readonly #kept = new Map<string, Prepared>()
  readonly #sides = new Map<string, PlanSide>()

  /** @throws Problem for what was not recorded, cannot converge, or makes no sense. null: cancelled. */
  answer(ask: PlanAsk, isCancelled: () => boolean = () => false): PlanAnswer | null {
    const { records, heard, request, wanted } = ask
    checkWanted(wanted)
    const base = this.#side(ask, request, heard.chosen, true, isCancelled)
    if (base === null) return null
    const change = withWhatIfs(ask.whatIf, request, records, heard)
    if (change.asked.length === 0) return { base, changed: null, asked: [] }
    const changed = this.#side(ask, change.request, change.methods, false, isCancelled)
    return changed === null ? null : { base, changed, asked: change.asked }
  }

  /** `whole`: with the interval of what buys most, which takes as long as all the rest. */
  #side(
    ask: PlanAsk,
    request: Request,
    methods: readonly number[],
    whole: boolean,
    isCancelled: () => boolean,
  ): PlanSide | null {
    const { recordsKey, instrument, wanted } = ask
    const key = JSON.stringify([recordsKey, instrument, request, methods, wanted, whole])
    const known = this.#sides.get(key)
    if (known !== undefined) return known
    const prepared = this.#prepared(ask, request, methods, isCancelled)
    if (prepared === null) return null
    const plan = planFor(prepared, wanted)
    const answer = told(prepared, plan, wanted, instrument)
    const best = answer.buysMost[0]
    const gain = whole && best !== undefined && best.gain > 0
    const made: PlanSide = {
      told: answer,
      stepsS: stepTimes(prepared, plan.chain),
      gain: gain ? gainFigure(prepared, plan.chain, wanted, best.id) : null,
      checkOnly: checkOnly(prepared),
    }
    this.#sides.set(key, made)
    for (const old of [...this.#sides.keys()].slice(0, -sidesKept)) this.#sides.delete(old)
    return made
  }

  #prepared(ask: PlanAsk, request: Request, methods: readonly number[], isCancelled: () => boolean): Prepared | null {
    const key = JSON.stringify([ask.recordsKey, request, methods])
    const known = this.#kept.get(key)
    const made = known ?? prepare({ ...request, records: withMethods(ask.records, methods) }, isCancelled)
    if (made === null) return null
    this.#kept.delete(key)
    this.#kept.set(key, made)
    for (const old of [...this.#kept.keys()].slice(0, -preparedKept)) this.#kept.delete(old)
    return made
  }
}

/** How much of the mean time each stage takes; what comes after the last stage's first pass is the check's. */
function stepTimes({ setting }: Prepared, { stages, verified }: Chain): number[] {
  const prefixes = stages.map((_, at): Chain => ({ stages: stages.slice(0, at + 1), verified: false }))
  const whole: Chain[] = verified ? [{ stages, verified }] : []
  const untilS = outcomesOf(setting, [...prefixes, ...whole]).map(({ timeS }) => mean(timeS))
  return untilS.map((endS, at) => endS - (untilS[at - 1] ?? 0))
}

/** Nothing is ever turned inside the let-go of a reading that would not be believed anyway. */
function checkOnly({ setting, outcomes }: Prepared): PlanSide['checkOnly'] {
  const method = outcomes[0]?.chain.stages[0]?.method ?? 0
  const stage = { method, letGoCents: neverTurnCents, handOver: 'confirm' as const }
  const [outcome] = outcomesOf(setting, [{ stages: [stage], verified: false }])
  return {
    timeP90S: quantile(outcome?.timeS ?? [], 0.9),
    worstP95Cents: quantile(outcome?.worstCents ?? [], 0.95),
  }
}
