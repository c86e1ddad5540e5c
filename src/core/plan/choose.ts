/**
 * Which of the candidates to follow, for one tolerance and any budget.
 *
 * The best chance decides, but a chain with fewer methods, then with fewer stages, is taken instead when its chance is lower by
 * less than .02 or twice the standard error of the paired difference. Budgets are gone through from the smallest on: a larger
 * one never takes a chain of lower chance or with a worse string left than the one before. (Without this a simpler chain could
 * come in within the margin again and again, and more time would buy less.)
 */
import { quantile } from '../maths/statistics.ts'
import { methodsOf } from './chain.ts'
import { type ChainOutcome, chanceOf, succeeds, type Wanted } from './outcome.ts'

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

/** null: no candidate ever succeeds within the budget. */
export function choose(outcomes: readonly ChainOutcome[], { budgetS, withinCents }: Wanted): Choice | null {
  let held: Held | null = null
  for (const at of budgetsUpTo(budgetS)) {
    const wanted = { budgetS: at, withinCents }
    const rated = outcomes.map((outcome) => ({ outcome, chance: chanceOf(outcome, wanted) }))
    const best = rated.reduce((a, b) => (b.chance > a.chance ? b : a), rated[0])
    if (best === undefined || best.chance === 0) continue
    const last: Held | null = held
    const simple: Held[] = rated
      .filter(({ outcome, chance }) => best.chance - chance <= marginOf(best.outcome, outcome, wanted))
      .map((choice) => ({ ...choice, worstP95Cents: quantile(choice.outcome.worstCents, 0.95) }))
      .filter(
        ({ chance, worstP95Cents }) => last === null || (chance >= last.chance && worstP95Cents <= last.worstP95Cents),
      )
      .sort((a, b) => sizeOf(a.outcome) - sizeOf(b.outcome) || b.chance - a.chance)
    held = simple[0] ?? held
  }
  return held
}

function* budgetsUpTo(budgetS: number): Generator<number> {
  for (let at = budgetStepS; at < budgetS; at += budgetStepS) yield at
  yield budgetS
}

const sizeOf = ({ chain }: ChainOutcome): number =>
  10 * methodsOf(chain).length + 2 * chain.stages.length + (chain.stages.some(({ ahead }) => ahead) ? 1 : 0)

/** What a chance may fall short of the best and still count as the same. */
function marginOf(best: ChainOutcome, other: ChainOutcome, wanted: Wanted): number {
  const n = best.timeS.length
  let sum = 0
  let squares = 0
  for (let episode = 0; episode < n; episode++) {
    const difference = Number(succeeds(best, episode, wanted)) - Number(succeeds(other, episode, wanted))
    sum += difference
    squares += difference * difference
  }
  const variance = squares / n - (sum / n) ** 2
  return Math.max(leastMargin, 2 * Math.sqrt(variance / n))
}
