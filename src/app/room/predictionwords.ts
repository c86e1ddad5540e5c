/** Predicted figures as words. */
import type { Figure } from '../../core/maths/statistics.ts'

/** "0.31", "not in 1.5 s": half have no claim by the end of the study's takes. */
export const secondsWords = (lockS: number): string =>
  lockS === Number.POSITIVE_INFINITY ? 'not in 1.5' : lockS.toFixed(2)

/** "2.1 (1.6 to 3.0)", "—" where nothing could be told. */
export function withEnds(
  { value, low, high }: Pick<Figure, 'value' | 'low' | 'high'>,
  words: (value: number) => string,
): string {
  if (Number.isNaN(value)) return '—'
  if (Number.isNaN(low) || Number.isNaN(high)) return words(value)
  return `${words(value)} (${words(low)} to ${words(high)})`
}
