/** A plan in short words: steps for the card and the page, the five numbers, what was recorded. */
import type { Figure } from '../../core/maths/statistics.ts'
import type { ToldPlan, ToldStage } from '../../core/plan/told.ts'
import { listed, plainNumber } from '../bench/figures.ts'
import type { PlanSide } from './answer.ts'

const small = ['no', 'one', 'two', 'three', 'four', 'five', 'six', 'seven', 'eight', 'nine', 'ten', 'eleven', 'twelve']

export const countWord = (count: number): string => small[count] ?? `${count}`

/** "1.5", "12": what a reading can be held against. */
export const cents = (value: number): string => (value < 10 ? `${Number(value.toFixed(1))}` : `${Math.round(value)}`)

export interface Step {
  readonly before: string
  /** Method or move: bold. */
  readonly bold: string
  readonly after: string
  readonly detail: string
  /** Mean, s; NaN: not known. */
  readonly timeS: number
}

export interface StepRules {
  readonly strings: number
  /** How far under pitch a sharp string is let down. */
  readonly undershootCents: number
  readonly morePasses: number
}

/** The work in order: a step a stage, then the check or the stop. */
export function stepsOf(
  { stages, verified }: { readonly stages: readonly ToldStage[]; readonly verified: boolean },
  stepsS: readonly number[],
  rules: StepRules,
): Step[] {
  const all = `All ${countWord(rules.strings)} with `
  const steps = stages.map(
    (stage, at): Step => ({
      before: all,
      bold: stage.method,
      after: '.',
      detail: `${stageDetail(stage, at === stages.length - 1)}${at === 0 ? comingDown(rules) : ''}`,
      timeS: stepsS[at] ?? Number.NaN,
    }),
  )
  const letGo = cents(stages.at(-1)?.letGoCents ?? Number.NaN)
  const last: Step = verified
    ? {
        before: '',
        bold: 'Check pluck',
        after: ' each string once.',
        detail: `${again(rules)}Outside ±${letGo}\u00a0c? Put it right.`,
        timeS: stepsS[stages.length] ?? Number.NaN,
      }
    : {
        before: '',
        bold: 'Stop there',
        after: '.',
        detail: 'No time is left to check: nothing is verified.',
        timeS: Number.NaN,
      }
  return [...steps, last]
}

function stageDetail({ letGoCents, handOver, ahead }: ToldStage, last: boolean): string {
  // A number and its unit stay on one line of the card.
  const within = `±${cents(letGoCents)}\u00a0c`
  if (ahead) {
    return `Pluck all first. Bring each so far past its note that the later ones pull it home, to within ${within}.`
  }
  if (handOver === 'turn-once') return `Wait for steady, turn once if it is more than ${within} off, next string.`
  return last ? `Let go inside ${within}, after it says steady.` : `Turn until it says inside ${within}, next string.`
}

const comingDown = ({ undershootCents }: StepRules): string =>
  undershootCents > 0 ? ` Coming down? Go ${cents(undershootCents)}\u00a0c under, then up.` : ''

function again({ morePasses }: StepRules): string {
  if (morePasses === 0) return ''
  return `First all again until no turn is needed, at most ${morePasses === 1 ? 'once' : `${countWord(morePasses)} times`}. `
}

export interface Headline {
  readonly bold: string
  readonly rest: string
}

/** The verdict, cut behind its first clause: that much is bold. */
export function headlineOf({ sentences }: Pick<ToldPlan, 'sentences'>): Headline {
  const [whole = ''] = sentences
  const cut = whole.search(/[:;] /)
  if (cut < 0) return { bold: whole, rest: '' }
  const rest = whole.slice(cut + 2)
  return { bold: `${whole.slice(0, cut)}.`, rest: `${rest.charAt(0).toUpperCase()}${rest.slice(1)}` }
}

export interface Number5 {
  readonly id: 'chance' | 'time' | 'worst' | 'unverified' | 'buys'
  readonly value: string
  readonly title: string
  readonly interval: string
  /** Ends of its scale and its place on it, in its unit; null: nothing to draw. */
  readonly drawn: { readonly figure: Figure; readonly from: number; readonly to: number } | null
}

const percent = (share: number): string => `${Math.round(100 * share)}`.replace('-', '−')
const ends = ({ low, high }: Figure, write: (value: number) => string): string => `${write(low)} to ${write(high)}`

/** The five numbers of a plan, each with its interval. */
export function numbersOf({ told, gain }: PlanSide): readonly Number5[] {
  const { chance, timeP90S, worstP95Cents, unverified, buysMost, wanted } = told
  const best = buysMost[0]
  const share = (figure: Figure, from: number, to: number): Figure & { from: number; to: number } => ({
    ...figure,
    from,
    to,
  })
  const hundredfold = (figure: Figure): Figure => ({
    value: 100 * figure.value,
    low: 100 * figure.low,
    high: 100 * figure.high,
    n: figure.n,
  })
  return [
    {
      id: 'chance',
      value: `${percent(chance.value)} %`,
      title: `all verified within ±${cents(wanted.withinCents)} c in ${wanted.budgetS} s`,
      interval: ends(chance, percent),
      drawn: { figure: hundredfold(chance), from: 0, to: 100 },
    },
    {
      id: 'time',
      value: `${Math.round(timeP90S.value)} s`,
      title: 'time in nine runs of ten',
      interval: ends(timeP90S, (value) => `${Math.round(value)}`),
      drawn: { figure: timeP90S, from: 0, to: roundUp(Math.max(timeP90S.high, wanted.budgetS), 20) },
    },
    {
      id: 'worst',
      value: `${plainNumber(worstP95Cents.value)} c`,
      title: 'worst string left, 95 runs of 100',
      interval: ends(worstP95Cents, plainNumber),
      drawn: { figure: worstP95Cents, from: 0, to: roundUp(Math.max(worstP95Cents.high, wanted.withinCents), 5) },
    },
    {
      id: 'unverified',
      value: `${percent(unverified.chance.value)} %`,
      title: unverifiedTitle(told),
      interval: ends(unverified.chance, percent),
      drawn: { figure: hundredfold(unverified.chance), from: 0, to: 100 },
    },
    gain === null || gain === undefined || best === undefined
      ? {
          id: 'buys',
          value: best !== undefined && best.gain > 0 ? `+${percent(best.gain)} %` : '0 %',
          title:
            best !== undefined && best.gain > 0
              ? `buys most: ${best.words}`
              : 'buys most: nothing that was tried helps this chain',
          interval: gain === undefined ? 'working out its interval' : `${buysMost.length} changes tried, one at a time`,
          drawn: null,
        }
      : {
          id: 'buys',
          value: `+${percent(gain.value)} %`,
          title: `buys most: ${best.words}`,
          interval: ends(gain, percent),
          drawn: { figure: hundredfold(share(gain, 0, 1)), from: Math.min(0, 10 * Math.floor(10 * gain.low)), to: 100 },
        },
  ]
}

const roundUp = (value: number, step: number): number => step * Math.max(1, Math.ceil(value / step))

/** Notes of the strings that stay unverified at least half as often as the one that does most; [] where none ever does. */
export function weakestOf(strings: ToldPlan['unverified']['strings']): string[] {
  const most = Math.max(...strings.map(({ chance }) => chance))
  if (most === 0) return []
  return strings.filter(({ chance }) => chance >= most / 2).map(({ string }) => string.replace(/ of .+$/, ''))
}

/** Which strings that happens to, where some stand out. */
export function unverifiedTitle({ unverified: { chance, strings } }: Pick<ToldPlan, 'unverified'>): string {
  const words = weakestOf(strings)
  if (chance.value === 0 || words.length === 0) return 'a string stays unverified'
  return `a string stays unverified, ${words.length > 3 ? 'hardly one more than another' : `mostly ${listed(words)}`}`
}

/** "n = 12 of 50: 38 more"; null: enough. */
export const lackingWords = (n: number, wanted: number): string | null =>
  n >= wanted ? null : `n = ${n} of ${wanted}: ${wanted - n} more`

/** "±2 c on E4 (330 Hz) beats once in 2.6 s". */
export const beatWords = (withinCents: number, hz: number, note: string, everyS: number): string =>
  `±${cents(withinCents)} c on ${note} (${Math.round(hz)} Hz) beats once in ${everyS < 10 ? everyS.toFixed(1) : Math.round(everyS)} s.`
