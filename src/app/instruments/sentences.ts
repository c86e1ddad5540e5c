/**
 * What two set-ups say to each other, as sentences: the pull first, then the strings. Every number is one of the
 * comparison's; an estimate carries "≈".
 */
import type { Change, SetupComparison } from '../../core/instruments/compare.ts'
import type { InstrumentFigures } from '../../core/instruments/figures.ts'
import type { Reckoning } from '../../core/instruments/reckoning.ts'

/** Keeps a number and its unit on one line. */
const gap = '\u00a0'

const minus = (text: string): string => text.replace('-', '−')

/** "72.6", "−1.5", "not known". A figure that rounds to nothing has no sign. */
export function written(value: number, places: number): string {
  if (!Number.isFinite(value)) return 'not known'
  const text = value.toFixed(places)
  return Number(text) === 0 ? text.replace('-', '') : minus(text)
}

/** "≈72.6" for an estimate. */
export function told({ value, status }: Reckoning, places: number): string {
  return status === 'estimate' && Number.isFinite(value) ? `≈${written(value, places)}` : written(value, places)
}

/** "+6.4 %", "−10.9 %", "0 %". */
export function signedPercent(value: number): string {
  const text = written(value, 1)
  if (text === 'not known') return text
  if (Number(text.replace('−', '-')) === 0) return `0${gap}%`
  return `${value > 0 ? '+' : ''}${text}${gap}%`
}

/** "1.3 × 10⁻⁵" as the number before the power: B is written in hundred-thousandths everywhere on the page. */
export const inHundredThousandths = (stiffness: Reckoning): Reckoning => ({
  ...stiffness,
  value: 1e5 * stiffness.value,
})

export const inPercent = (share: Reckoning): Reckoning => ({ ...share, value: 100 * share.value })

export function pullSentence({ totalPullN }: Pick<SetupComparison, 'totalPullN'>): string {
  const { from, to, percent } = totalPullN
  return `Total pull ${told(from, 0)}${gap}N becomes ${told(to, 0)}${gap}N (${signedPercent(percent.value)}).`
}

export const ownPullSentence = ({ totalPullN, strings }: InstrumentFigures): string =>
  `Total pull ${told(totalPullN, 0)}${gap}N on ${strings.length} ${strings.length === 1 ? 'string' : 'strings'}.`

/** Percentages that print alike are one number. */
function range(changes: readonly Change[]): { low: number; high: number; even: boolean } | null {
  const values = changes.map(({ percent }) => percent.value).filter(Number.isFinite)
  if (values.length === 0) return null
  const [low, high] = [Math.min(...values), Math.max(...values)]
  return { low, high, even: signedPercent(low) === signedPercent(high) }
}

const by = ({ low, high, even }: { low: number; high: number; even: boolean }): string =>
  even ? signedPercent(low) : `${signedPercent(low)} to ${signedPercent(high)}`

/** What a string and a peg notice. null when no string is in both. */
export function stringsSentence({ strings }: SetupComparison): string | null {
  const changes = strings.flatMap((string) => (string.changes === null ? [] : [string.changes]))
  const tension = range(changes.map((change) => change.tensionN))
  const peg = range(changes.map((change) => change.centsPerDegree))
  if (tension === null || peg === null) return null
  const each = tension.even ? 'Tension of every string' : 'Tension, string by string'
  return `${each}: ${by(tension)}. Cents for a degree of peg: ${by(peg)}${pegWords(peg)}.`
}

function pegWords({ low, high }: { low: number; high: number }): string {
  // What prints as 0 is no change.
  const still = (value: number): boolean => signedPercent(value) === signedPercent(0)
  if (still(low) && still(high)) return ''
  if (still(low) || low > 0) return ', so pegs are coarser'
  return still(high) || high < 0 ? ', so pegs are finer' : ''
}
