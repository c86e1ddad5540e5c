/** Predicted figures as words. */
import type { Figure } from '../../core/maths/statistics.ts'

/** "2.1", "819": beyond a half-tone nobody asks for tenths. */
export const centsWords = (cents: number): string => cents.toFixed(cents < 100 ? 1 : 0)

/** "0.31", "at once": it stood before the pluck; "not in 1.5": half have no claim by the end of the study's takes. */
export const secondsWords = (lockS: number): string =>
  lockS === 0 ? 'at once' : lockS === Number.POSITIVE_INFINITY ? 'not in 1.5' : lockS.toFixed(2)

/** "(1.6 to 3.0)"; '' where there is none, or nothing between its ends. */
export function endsWords({ low, high }: Pick<Figure, 'low' | 'high'>, words: (value: number) => string): string {
  if (Number.isNaN(low) || Number.isNaN(high) || low === high) return ''
  return `(${words(low)} to ${words(high)})`
}
