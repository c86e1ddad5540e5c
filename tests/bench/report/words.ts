/** Numbers as the report writes them. Three significant digits; an interval that cannot be given is left away. */
import type { Figure } from '../../../src/core/maths/statistics.ts'

export const absent = '–'

export function numberOf(value: number): string {
  if (Number.isNaN(value)) return absent
  if (!Number.isFinite(value)) return value > 0 ? 'never' : 'always'
  return String(Number(value.toPrecision(3)))
}

const ends = (low: string, high: string): string => (low === absent || high === absent ? '' : ` (${low} to ${high})`)

/** "1.23 (1.1 to 1.4), n = 300" */
export const figureOf = (figure: Figure | null): string =>
  figure === null ? absent : `${shortOf(figure)}, n = ${figure.n}`

/** Without n. */
export const shortOf = (figure: Figure | null): string =>
  figure === null ? absent : `${numberOf(figure.value)}${ends(numberOf(figure.low), numberOf(figure.high))}`

/** A rate, "3.1 % (1 to 8), n = 48". */
export const percentOf = (figure: Figure | null): string =>
  figure === null
    ? absent
    : `${numberOf(100 * figure.value)} %${ends(numberOf(100 * figure.low), numberOf(100 * figure.high))}, n = ${figure.n}`

/** "3 of 48" */
export const countOf = (figure: Figure | null): string =>
  figure === null ? absent : `${Math.round(figure.value * figure.n)} of ${figure.n}`

const inMs = (seconds: number): string => {
  if (Number.isNaN(seconds)) return absent
  return Number.isFinite(seconds) ? String(Math.round(1000 * seconds)) : 'never'
}

/** Seconds as ms, "32 ms (30 to 41)"; null: in under half of the trials. */
export const msOf = (figure: Figure | null): string =>
  figure === null ? 'never' : `${inMs(figure.value)} ms${ends(inMs(figure.low), inMs(figure.high))}`

/** A threshold ratio, "-6.3 dB (-7 to -5.5)"; `ratiosDb`: what was tried, for those beyond. */
export function dbOf(figure: Figure | null | undefined, ratiosDb: readonly number[] = []): string {
  if (figure === null || figure === undefined || Number.isNaN(figure.value)) return absent
  const of = (value: number): string => {
    if (value === Number.POSITIVE_INFINITY) return `> ${ratiosDb.length === 0 ? 'all' : Math.max(...ratiosDb)}`
    if (value === Number.NEGATIVE_INFINITY) return `< ${ratiosDb.length === 0 ? 'all' : Math.min(...ratiosDb)}`
    return numberOf(Math.round(10 * value) / 10)
  }
  const [value, low, high] = [figure.value, figure.low, figure.high].map(of)
  return low === value && high === value ? value : `${value}${Number.isNaN(figure.low) ? '' : ` (${low} to ${high})`}`
}
