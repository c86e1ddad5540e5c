/** What three displays did to one estimate, in sentences made from the figures. */

import type { DisplaySettings } from '../../core/methods/displayed.ts'
import type { Figure } from '../../core/score/summary.ts'
import type { DisplayComparison, SeenDisplay } from '../../core/study/displays.ts'
import { fewestForInterval } from './columns.ts'
import { centsWithInterval, counted, countOf, hasInterval, plainNumber, seconds } from './figures.ts'

/** "averages 600 ms, 8 values a second, in tune within ±3 c, silent under −60 dB". */
export function settingWords({ averagingMs, updateHz, inRangeCents, gateDb }: DisplaySettings): string {
  return [
    `averages ${averagingMs} ms`,
    `${updateHz} values a second`,
    ...(inRangeCents > 0 ? [`in tune within \u00b1${inRangeCents} c`] : []),
    ...(gateDb > -120 ? [`silent under \u2212${Math.abs(gateDb)} dB`] : []),
  ].join(', ')
}

/** Verdict first, then number, interval and n. */
export function displaysSentences(comparison: DisplayComparison): readonly string[] {
  const { displays, plucks } = comparison
  const [first, last] = [displays[0], displays.at(-1)]
  if (first === undefined || last === undefined) return []
  return [timeWords(first, last, comparison), spreadWords(first, last), falseWords(displays, plucks)].filter(
    (sentence) => sentence !== '',
  )
}

function timeWords(first: SeenDisplay, last: SeenDisplay, { plucks, takeS, leadS }: DisplayComparison): string {
  const later = last.laterS
  if (later === null) {
    const [quick = 0, slow = 0] = [first, last].map(({ figures }) => plucks - countOf(figures.noLockRate))
    if (quick === 0 && slow === 0) {
      return `Behind neither the ${first.id} nor the ${last.id} display is anything claimed in ${seconds(takeS - leadS)} s.`
    }
    const count = (claims: number): string => (claims === 0 ? 'none' : `${claims}`)
    return `Of ${plucks} plucks ${count(quick)} are claimed behind the ${first.id} display, ${count(slow)} behind the ${last.id} one.`
  }
  const both =
    later.n === plucks ? `in all ${plucks} plucks` : `in the ${later.n} of ${plucks} plucks claimed behind both`
  const span =
    later.n >= fewestForInterval && hasInterval(later) ? ` (${seconds(later.low)} to ${seconds(later.high)})` : ''
  const head = `Behind the ${last.id} display the same estimate is claimed`
  const size = `${seconds(Math.abs(later.value))} s`
  // Less than one value of the quick display apart cannot be told.
  if (Math.abs(later.value) < 1 / first.display.updateHz) {
    return `${head} as soon as behind the ${first.id} one: ${seconds(later.value)} s later${span} ${both}.`
  }
  return later.value > 0
    ? `${head} ${size} later than behind the ${first.id} one${span}, ${both}.`
    : `${head} ${size} sooner than behind the ${first.id} one${span}, ${both}: averaged values agree before single ones do.`
}

function spreadWords(first: SeenDisplay, last: SeenDisplay): string {
  const [quick, slow] = [first.figures.sdCents, last.figures.sdCents]
  if (quick === null || slow === null) return ''
  return `What it shows strays by ${plainNumber(slow.value)} c, the ${first.id} one's by ${plainNumber(quick.value)} c.`
}

function falseWords(displays: readonly SeenDisplay[], plucks: number): string {
  const counts = displays.map(falseClaims)
  if (counts.every((count) => count === 0)) return `No false claim behind any, in ${plucks} plucks each.`
  const words = displays.map(({ id }, at) => `${counts[at]} behind the ${id}`)
  return `False claims in ${counted(plucks, 'pluck')}: ${words.join(', ')} one.`
}

export const falseClaims = ({ falseRate }: SeenDisplay): number => countOf(falseRate)

/** A figure on two lines: value, interval. */
export function timeLines(figure: Figure | null, none: string): readonly [string, string] {
  if (figure === null || !Number.isFinite(figure.value)) return [none, '']
  return [seconds(figure.value), hasInterval(figure) ? `${seconds(figure.low)} to ${seconds(figure.high)}` : '']
}

export function centsLines(figure: Figure | null, none: string): readonly [string, string] {
  const words = centsWithInterval(figure, '', none)
  const [value = none, interval = ''] = words.split(' (')
  return [value, interval.replace(')', '')]
}

/** A share in per cent. */
export function shareLines(figure: Figure | null, none: string): readonly [string, string] {
  if (figure === null || !Number.isFinite(figure.value)) return [none, '']
  const percent = (share: number): string => (100 * share).toFixed(0)
  return [`${percent(figure.value)} %`, `${percent(figure.low)} to ${percent(figure.high)} %`]
}
