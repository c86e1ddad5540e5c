/**
 * A plan in words: numbered steps that can be read at arm's length, and what to do when the time does not suffice.
 */
import type { Figure } from '../maths/statistics.ts'
import { type Chain, methodsOf, type Stage } from './chain.ts'
import type { PlanWanted } from './outcome.ts'
import type { Plan, PlanRequest } from './plan.ts'
import type { PaySpan, StagesPay } from './stagespay.ts'

const cents = (value: number): string => (value < 10 ? `${Number(value.toFixed(1))}` : `${Math.round(value)}`)
const seconds = (value: number): string => `${Math.round(value)} s`
const share = (value: number): string => `${Math.round(100 * value)} in 100`

/** The chain as sentences, in the order of the work. */
export function chainSentences(
  { chain }: Pick<Plan, 'chain'>,
  { records, work, bridge, offsetsKnown }: PlanRequest,
): string[] {
  const { stages, verified } = chain
  const last = stages.length - 1
  const lines = stages.map((stage, at) => {
    const { id } = records.methods[stage.method]
    const change = stages[at - 1]?.method === stage.method ? 'Again with' : 'Change to'
    return stageSentence(stage, at === 0 ? id : `${change} ${id}`, at === last)
  })
  if (verified) {
    const again =
      work.morePasses === 0
        ? ''
        : `Go over all strings again until one whole pass needs no turn, at most ${times(work.morePasses)} more. `
    lines.push(
      `${again}Then pluck each string once more to check: within ±${cents(stages[last].letGoCents)} c it is done, else put it right.`,
    )
  } else {
    lines.push('Stop there: no time is left to check, so nothing is verified.')
  }
  if (bridge === 'floating' && !stages.some(({ ahead }) => ahead === true)) {
    lines.push('The bridge floats: each string you raise lets the others down a little; that is in the passes above.')
  }
  if (offsetsKnown)
    lines.push('Subtract what each method read on this very string in quiet; with other strings the offsets are void.')
  return lines
}

function stageSentence({ letGoCents, handOver, ahead }: Stage, who: string, last: boolean): string {
  const within = `±${cents(letGoCents)} c`
  if (ahead === true) {
    return `${who}: pluck every string once, then bring each to where the card puts it, so far past its note that the later ones pull it home, to within ${within}.`
  }
  if (handOver === 'turn-once') {
    return `${who}, lowest string first: pluck, wait for a settled reading, turn once if it is more than ${within} off, next string.`
  }
  return `${who}, lowest string first: pluck, wait, turn, until it reads within ${within}${last ? '' : ', then the next string'}.`
}

const times = (n: number): string => (n === 1 ? 'one' : n === 2 ? 'two' : `${n}`)

/** One sentence that says what the figures come to. */
export function verdictSentence(plan: Plan, { budgetS, withinCents, wantedChance }: PlanWanted): string {
  const { verdict, figures } = plan
  if (verdict === 'infeasible') {
    const needs = Number.isFinite(plan.neededS)
      ? `±${cents(withinCents)} c on every string needs ${seconds(plan.neededS)}`
      : `±${cents(withinCents)} c on every string is not reached ${share(wantedChance)} times, however long it takes`
    const reach = Number.isFinite(plan.reachableCents)
      ? `in ${seconds(budgetS)} expect ±${cents(plan.reachableCents)} c${plan.reachableVerified ? '' : ', unverified'}`
      : `in ${seconds(budgetS)} not even one pass is done`
    return `${needs}; ${reach}.`
  }
  const way = verdict === 'one-method' ? 'One method is enough' : 'Two methods pay'
  return `${way}: ${share(figures.chance.value)} runs end with every string verified within ±${cents(withinCents)} c in ${seconds(budgetS)}.`
}

/** One sentence on when several methods pay and when one is enough; null: no time is enough. */
export function paysSentence(
  pays: StagesPay,
  { verdict }: Pick<Plan, 'verdict'>,
  { records }: PlanRequest,
): string | null {
  const { spans, alone, together, savedS } = pays
  const named = ({ stages }: Chain): string =>
    methodsOf({ stages, verified: true })
      .map((method) => records.methods[method].id)
      .join(', then ')
  const paying = spans.filter(({ kind }) => kind === 'chain')
  if (verdict === 'infeasible') return spans.length === 0 ? null : `${sentenceCase(spans.map(spanWords).join(', '))}.`
  if (verdict === 'chain') {
    const enough = spans.find(({ kind, toS }) => kind === 'one-method' && toS === Number.POSITIVE_INFINITY)
    const rest = enough === undefined ? '' : `; ${spanWords(enough)}`
    if (alone === null || together === null || savedS === null)
      return 'No one method gets there, however long it takes.'
    return `${named(together.chain)}: done ${seconds(savedS.value)} (${endsOf(savedS)}) sooner than ${named(alone.chain)} alone, which needs ${seconds(alone.neededS)}${rest}.`
  }
  if (paying.length > 0) return `${sentenceCase(paying.map(spanWords).join(', '))}.`
  if (alone === null || together === null || savedS === null) return 'No two methods get there.'
  return `A second method would not pay: ${named(together.chain)} need ${seconds(together.neededS)}, ${named(alone.chain)} alone ${seconds(alone.neededS)} (difference ${endsOf(savedS)} s).`
}

const spanWords = ({ kind, fromS, toS }: PaySpan): string => {
  const when = Number.isFinite(toS) ? `with ${fromS} to ${toS} s` : `from ${fromS} s on`
  return `${when} ${kind === 'chain' ? 'two methods pay' : 'one method is enough'}`
}

const sentenceCase = (words: string): string => `${words.charAt(0).toUpperCase()}${words.slice(1)}`

const endsOf = ({ low, high }: Figure): string =>
  [low, high].map((end) => Math.round(end).toString().replace('-', '−')).join(' to ')

export interface ChoiceOffered {
  readonly id: 'worst-two' | 'spare' | 'more-time' | 'accept'
  readonly words: string
}

/** The four ways out of an infeasible wish; [] when it is feasible. The tolerance is never relaxed silently. */
export function choicesOf(plan: Plan, { budgetS }: PlanWanted): ChoiceOffered[] {
  if (plan.verdict !== 'infeasible') return []
  const more = Number.isFinite(plan.neededS)
    ? `Ask for ${seconds(plan.neededS - budgetS)} more.`
    : 'More time alone does not help: less noise or a surer hand would.'
  return [
    { id: 'worst-two', words: 'Pluck all, tune only the two that stand worst, and say which were left.' },
    { id: 'spare', words: 'Take the spare, if it was checked.' },
    { id: 'more-time', words: more },
    {
      id: 'accept',
      words: Number.isFinite(plan.reachableCents)
        ? `Accept ±${cents(plan.reachableCents)} c for now, and come back to it.`
        : 'Accept it as it is for now, and come back to it.',
    },
  ]
}
