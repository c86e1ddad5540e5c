/**
 * Which of the candidates to follow, for one tolerance and any budget.
 *
 * Only chains that have the wanted chance are looked at: a simpler one that just misses it would make a wish infeasible that is not.
 * Of these the best chance decides, but a chain with fewer methods, then with fewer stages, is taken instead when its chance is
 * lower by less than .02 or twice the standard error of the paired difference. Budgets are gone through from the smallest on: a larger
 * one never takes a chain of lower chance or with a worse string left than the one before. (Without this a simpler chain could
 * come in within the margin again and again, and more time would buy less.)
 */
import { quantile } from '../maths/statistics.ts'
import { methodsOf } from './chain.ts'
import { type ChainOutcome, chanceOf, type PlanWanted, succeeds, type Wanted } from './outcome.ts'

/** No one notices two runs in a hundred; less is not worth another method in the hand. */
const leastMargin = 0.02

/** Budgets looked at on the way up, s. */
const budgetStepS = 1

export interface Choice {
  readonly outcome: ChainOutcome
  readonly chance: number
}

interface Held extends Choice {
  readonly worstP95Cents: number
}

/** null: no candidate has the wanted chance within the budget. */
export function choose(outcomes: readonly ChainOutcome[], wanted: PlanWanted): Choice | null {
  let held: Choice | null = null
  for (const { choice } of choicesUpTo(outcomes, wanted)) held = choice
  return held
}

/** The choice at every whole second of budget on the way, and at the last; null: none yet. */
export function* choicesUpTo(
  outcomes: readonly ChainOutcome[],
  { budgetS: lastS, withinCents, wantedChance }: PlanWanted,
): Generator<{ readonly budgetS: number; readonly choice: Choice | null }> {
  const worstP95Cents = new Map(outcomes.map((outcome) => [outcome, quantile(outcome.worstCents, 0.95)]))
  let held: Held | null = null
  for (const budgetS of budgetsUpTo(lastS)) {
    const wanted = { budgetS, withinCents }
    const rated = outcomes
      .map((outcome) => ({ outcome, chance: chanceOf(outcome, wanted) }))
      .filter(({ chance }) => chance >= wantedChance)
    const best = rated.reduce<Choice | null>((a, b) => (a === null || b.chance > a.chance ? b : a), null)
    if (best !== null) {
      const last: Held | null = held
      const simple: Held[] = rated
        .filter((one) => isAsGood(best, one, wanted))
        .map((choice) => ({ ...choice, worstP95Cents: worstP95Cents.get(choice.outcome) as number }))
        .filter((one) => last === null || (one.chance >= last.chance && one.worstP95Cents <= last.worstP95Cents))
        .sort((a, b) => sizeOf(a.outcome) - sizeOf(b.outcome) || b.chance - a.chance)
      held = simple[0] ?? held
    }
    yield { budgetS, choice: held }
  }
}

function* budgetsUpTo(budgetS: number): Generator<number> {
  for (let at = budgetStepS; at < budgetS; at += budgetStepS) yield at
  yield budgetS
}

const sizeOf = ({ chain }: ChainOutcome): number =>
  10 * methodsOf(chain).length + 2 * chain.stages.length + (chain.stages.some(({ ahead }) => ahead) ? 1 : 0)

/** Whether what the chance falls short of the best is within the margin. */
function isAsGood(best: Choice, other: Choice, wanted: Wanted): boolean {
  const short = best.chance - other.chance
  if (short <= leastMargin) return true
  // A paired difference lies in -1 to 1, so two standard errors of it are never more than this.
  if (short > 2 / Math.sqrt(best.outcome.timeS.length)) return false
  return short <= 2 * standardError(best.outcome, other.outcome, wanted)
}

/** Of the paired difference of the two chances. */
function standardError(best: ChainOutcome, other: ChainOutcome, wanted: Wanted): number {
  const n = best.timeS.length
  let sum = 0
  let squares = 0
  for (let episode = 0; episode < n; episode++) {
    const difference = Number(succeeds(best, episode, wanted)) - Number(succeeds(other, episode, wanted))
    sum += difference
    squares += difference * difference
  }
  return Math.sqrt((squares / n - (sum / n) ** 2) / n)
}
