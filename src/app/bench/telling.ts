/** What outcomes tell beyond their figures: which trial of a point is worth opening, and what failed. */
import { methodNames } from '../../core/score/summary.ts'
import type { Outcome } from '../../core/study/study.ts'
import { allStrings, type Point } from '../store.ts'
import { counted } from './figures.ts'

/** One with a false claim, else the one furthest from the truth. Null when the point has no trial. */
export function tellingTrial(
  outcomes: ReadonlyMap<number, readonly Outcome[]>,
  point: Point | null,
  which: 'telling' | 'first' = 'telling',
): number | null {
  if (point === null) return null
  const trials = [...outcomes.values()]
  const nameOf = methodNames((trials[0] ?? []).map(({ method }) => method))
  const there = trials
    .flat()
    .filter(
      ({ trial, method }) =>
        nameOf(method) === point.method && trial.snrDb === point.snrDb && trial.room === point.room,
    )
    .filter(({ trial }) => point.string === allStrings || trial.string === point.string)
    .sort((a, b) => a.trial.index - b.trial.index)
  if (which === 'first') return there[0]?.trial.index ?? null
  const told = there.map((outcome) => ({ index: outcome.trial.index, weight: weightOf(outcome) }))
  return told.sort((a, b) => b.weight - a.weight)[0]?.index ?? null
}

/** False claims first, by their size; then trials without a claim; then true ones by their error. */
function weightOf(outcome: Outcome): number {
  if (outcome.state === 'failed') return -1
  const { claim, claimCents, medianAbsCents } = outcome.score
  if (claim === 'none') return 1e5 + (Number.isFinite(medianAbsCents) ? medianAbsCents : 0)
  if (claim !== 'true') return 1e6 + Math.min(1e5, Math.abs(claimCents) || 0)
  return Math.abs(claimCents) || 0
}

/** "3 outcomes failed; the first: yin on B0: ...". Null when none did. */
export function failureWords(outcomes: ReadonlyMap<number, readonly Outcome[]>): string | null {
  const failed = [...outcomes.values()].flat().flatMap((outcome) => (outcome.state === 'failed' ? [outcome] : []))
  const first = failed[0]
  if (first === undefined) return null
  const { problem, method, trial } = first
  return `${counted(failed.length, 'outcome')} failed, counted in no figure; the first: ${method.id} on ${trial.string}: ${problem.what}.`
}
