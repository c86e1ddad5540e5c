/**
 * What the planner answers, for one wish as it is and one with the "what if" laid over it. Preparing takes most of the time and knows
 * neither budget nor tolerance: what was prepared last is kept, so that a slider moves at the pace of a hand.
 */

import type { Figure } from '../../core/maths/statistics.ts'
import { mean, quantile } from '../../core/maths/statistics.ts'
import type { Chain } from '../../core/plan/chain.ts'
import { neverTurnCents } from '../../core/plan/hand.ts'
import { outcomesOf } from '../../core/plan/optimise.ts'
import type { PlanWanted } from '../../core/plan/outcome.ts'
import { checkWanted, type Prepared, planFor, prepare } from '../../core/plan/plan.ts'
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
  /** Of the change that buys most: more runs that succeed; null: nothing that was tried helps; absent: not worked out. */
  readonly gain?: Figure | null
  readonly chain: Chain
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

  /**
   * `early` is told all but the interval of what buys most, which takes as long as the rest. null: cancelled.
   * @throws Problem for what was not recorded, cannot converge, or makes no sense.
   */
  answer(
    ask: PlanAsk,
    early: (answer: PlanAnswer) => void = () => undefined,
    isCancelled: () => boolean = () => false,
  ): PlanAnswer | null {
    const { records, heard, request, wanted } = ask
    checkWanted(wanted)
    const base = this.#side(ask, request, heard.chosen, true, isCancelled)
    if (base === null) return null
    const change = withWhatIfs(ask.whatIf, request, records, heard)
    const changed =
      change.asked.length === 0 ? null : this.#side(ask, change.request, change.methods, false, isCancelled)
    if (change.asked.length > 0 && changed === null) return null
    const answer = { base, changed, asked: change.asked }
    if (base.gain !== undefined) return answer
    early(answer)
    return { ...answer, base: this.#withGain(ask, base) }
  }

  /** `whole`: with the hand's floor. */
  #side(
    ask: PlanAsk,
    request: Request,
    methods: readonly number[],
    whole: boolean,
    isCancelled: () => boolean,
  ): PlanSide | null {
    const key = sideKey(ask, request, methods, whole)
    const known = this.#sides.get(key)
    if (known !== undefined) return known
    const prepared = this.#prepared(ask, request, methods, whole, isCancelled)
    if (prepared === null) return null
    const plan = planFor(prepared, ask.wanted)
    const side: PlanSide = {
      told: told(prepared, plan, ask.wanted, ask.instrument),
      stepsS: stepTimes(prepared, plan.chain),
      checkOnly: checkOnly(prepared),
      chain: plan.chain,
    }
    this.#keep(key, side)
    return side
  }

  #withGain(ask: PlanAsk, side: PlanSide): PlanSide {
    const prepared = this.#prepared(ask, ask.request, ask.heard.chosen, true, () => false)
    const best = side.told.buysMost[0]
    const helps = best !== undefined && best.gain > 0 && prepared !== null
    const whole = { ...side, gain: helps ? gainFigure(prepared, side.chain, ask.wanted, best.id) : null }
    this.#keep(sideKey(ask, ask.request, ask.heard.chosen, true), whole)
    return whole
  }

  #keep(key: string, side: PlanSide): void {
    this.#sides.set(key, side)
    for (const old of [...this.#sides.keys()].slice(0, -sidesKept)) this.#sides.delete(old)
  }

  #prepared(
    ask: PlanAsk,
    request: Request,
    methods: readonly number[],
    whole: boolean,
    isCancelled: () => boolean,
  ): Prepared | null {
    const key = JSON.stringify([ask.recordsKey, request, methods, whole])
    const known = this.#kept.get(key)
    const made = known ?? prepare({ ...request, records: withMethods(ask.records, methods) }, isCancelled, whole)
    if (made === null) return null
    this.#kept.delete(key)
    this.#kept.set(key, made)
    for (const old of [...this.#kept.keys()].slice(0, -preparedKept)) this.#kept.delete(old)
    return made
  }
}

const sideKey = (
  { recordsKey, instrument, wanted }: PlanAsk,
  request: Request,
  methods: readonly number[],
  whole: boolean,
): string => JSON.stringify([recordsKey, instrument, request, methods, wanted, whole])

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
