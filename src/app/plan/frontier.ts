/** What the frontier shows: its lines by kind, the points that matter for this plan, and the scales. */
import type { ToldPlan, ToldStage } from '../../core/plan/told.ts'
import type { PlanSide } from './answer.ts'
import { cents } from './words.ts'

export type Kind = ToldPlan['frontier'][number]['kind'] | 'check-only'

export const kindWords: Readonly<Record<Kind, string>> = {
  'one-method': 'one method',
  chain: 'several methods',
  unverified: 'nothing checked',
  'check-only': 'plucked, not turned',
  'hand-floor': 'the hand alone',
}

export interface FrontierRow {
  readonly kind: Kind
  readonly name: string
  readonly timeP90S: number
  readonly worstP95Cents: number
  /** Within the tolerance and verified, however long it takes; NaN: does not apply. */
  readonly chance: number
}

const stagesWords = (stages: readonly ToldStage[]): string =>
  stages
    .map(({ method, letGoCents, ahead }) => `${method} ±${cents(letGoCents)}${ahead ? ' ahead' : ''}`)
    .join(', then ')

/** In the order of the lines; checking alone last but one, the hand last. */
export function rowsOf({ told, checkOnly }: PlanSide): FrontierRow[] {
  const rows = told.frontier.map(
    ({ kind, stages, timeP90S, worstP95Cents, chance }): FrontierRow => ({
      kind,
      name: kind === 'hand-floor' ? 'a perfect detector' : stagesWords(stages),
      ...{ timeP90S, worstP95Cents },
      chance: kind === 'unverified' ? Number.NaN : chance,
    }),
  )
  const check: FrontierRow = { kind: 'check-only', name: 'each string once', ...checkOnly, chance: Number.NaN }
  const hand = rows.findIndex(({ kind }) => kind === 'hand-floor')
  return hand < 0 ? [...rows, check] : [...rows.slice(0, hand), check, ...rows.slice(hand)]
}

/** First and last method alone, where a plan uses two: what each could do without the other. */
export function aloneIn({ told }: PlanSide): readonly { name: string; timeP90S: number; worstP95Cents: number }[] {
  const { stages, frontier } = told
  const [rough, fine] = [stages[0]?.method, stages.at(-1)?.method]
  if (rough === undefined || fine === undefined || rough === fine) return []
  return [['rough only', rough] as const, ['fine only', fine] as const].flatMap(([name, method]) => {
    const own = frontier.filter(({ kind, stages: [first] }) => kind === 'one-method' && first?.method === method)
    const truest = own.at(-1)
    return truest === undefined ? [] : [{ name, timeP90S: truest.timeP90S, worstP95Cents: truest.worstP95Cents }]
  })
}

export interface Scales {
  readonly toS: number
  readonly fromCents: number
  readonly toCents: number
  x(timeS: number): number
  y(cents: number): number
}

export const centTicks = [0.5, 1, 2, 5, 10, 20, 50, 100] as const

export function scalesOf(side: PlanSide, widthPx: number, heightPx: number): Scales {
  const { told } = side
  const rows = rowsOf(side)
  const seconds = [told.wanted.budgetS, told.timeP90S.value, ...rows.map(({ timeP90S }) => timeP90S)]
  // What takes twice as long as anybody asked for is not drawn: it would press everything else to the left.
  const most = Math.min(Math.max(...seconds), 2 * Math.max(told.wanted.budgetS, told.timeP90S.value))
  const toS = 20 * Math.ceil((1.05 * most) / 20)
  const worst = rows.map(({ worstP95Cents }) => worstP95Cents).filter((value) => value > 0)
  const low = Math.min(told.wanted.withinCents, ...worst)
  const high = Math.max(told.wanted.withinCents, ...worst)
  const fromCents = [...centTicks].reverse().find((tick) => tick <= low) ?? centTicks[0]
  const toCents = centTicks.find((tick) => tick >= high) ?? 100
  const span = Math.log(toCents / fromCents)
  return {
    ...{ toS, fromCents, toCents },
    x: (timeS) => (widthPx * timeS) / toS,
    y: (value) => heightPx * (1 - Math.log(Math.max(value, fromCents) / fromCents) / span),
  }
}

/** Steps from point to point: what is left falls only where the next chain is done. */
export function stairs(rows: readonly FrontierRow[], { x, y, toS }: Scales): string {
  return rows
    .filter(({ timeP90S }) => timeP90S <= toS)
    .map(
      ({ timeP90S, worstP95Cents }, at) => `${at === 0 ? `M${x(timeP90S)} ` : `H${x(timeP90S)}V`}${y(worstP95Cents)}`,
    )
    .join('')
}
