/**
 * How figures are written everywhere on the page: true minus signs, as many places as the size deserves, interval behind
 * the value in brackets. NaN and null are "no value", never 0.
 */
import type { Figure } from '../../core/score/summary.ts'

const minus = (text: string): string => text.replace('-', '−')

/** "26.2", "0.83": two places under 1, one under 100, none above. */
export function plainNumber(value: number): string {
  if (!Number.isFinite(value)) return 'no value'
  return minus(value.toFixed(places(value)))
}

function places(value: number): number {
  const size = Math.abs(value)
  if (size < 1) return 2
  return size < 100 ? 1 : 0
}

/** "+10", "0", "−5". */
export function signedDb(snrDb: number): string {
  return snrDb > 0 ? `+${snrDb}` : minus(`${snrDb}`)
}

/** "+1.9", "−7.6": cents with their sign. */
export function signedCents(cents: number): string {
  const text = plainNumber(cents)
  return cents > 0 ? `+${text}` : text
}

/** "0.62": seconds to the hundredth; an interval may reach beyond the take. */
export function seconds(valueS: number): string {
  if (valueS === Number.POSITIVE_INFINITY) return 'beyond the take'
  return Number.isFinite(valueS) ? minus(valueS.toFixed(2)) : 'no value'
}

export const hasInterval = (figure: Figure | null): boolean =>
  figure !== null && !Number.isNaN(figure.low) && !Number.isNaN(figure.high)

/** "0.8 (0.6 to 1.0)", with a unit "0.8 s (0.6 to 1.0)"; the value alone while there is no interval yet. */
export function withInterval(
  figure: Figure | null,
  write: (value: number) => string,
  unit = '',
  none = 'none',
): string {
  if (figure === null || !Number.isFinite(figure.value)) return none
  if (!hasInterval(figure)) return `${write(figure.value)}${unit}`
  return `${write(figure.value)}${unit} (${write(figure.low)} to ${write(figure.high)})`
}

/** Same places for value and ends, chosen by the value: "0.83 (0.60 to 1.10)". */
export function centsWithInterval(figure: Figure | null, unit = '', none = 'no reading'): string {
  if (figure === null) return none
  const digits = places(figure.value)
  return withInterval(figure, (value) => minus(value.toFixed(digits)), unit, none)
}

/** A rate as a count out of n: "3". */
export const countOf = (figure: Figure | null): number => (figure === null ? 0 : Math.round(figure.value * figure.n))

/** The interval of a rate: "14 to 69 %". Empty without a trial. */
export function rateInterval(figure: Figure | null): string {
  if (figure === null || figure.n === 0) return ''
  const percent = (share: number): string => (100 * share).toFixed(0)
  return `${percent(figure.low)} to ${percent(figure.high)}\u00a0%`
}

/** "1 min 10 s", "8 s". */
export function duration(valueS: number): string {
  if (!Number.isFinite(valueS)) return ''
  const whole = Math.max(1, Math.round(valueS))
  if (whole < 60) return `${whole} s`
  const minutes = Math.floor(whole / 60)
  const parts =
    minutes < 60
      ? [`${minutes} min`, whole % 60 > 0 && `${whole % 60} s`]
      : [`${Math.floor(minutes / 60)} h`, minutes % 60 > 0 && `${minutes % 60} min`]
  return parts.filter(Boolean).join(' ')
}

/** "E2", "E2 and E4", "E2, G3 and E4". */
export function listed(words: readonly string[]): string {
  if (words.length < 2) return words.join('')
  return `${words.slice(0, -1).join(', ')} and ${words.at(-1)}`
}

/** "1 trial", "12 trials". */
export const counted = (count: number, noun: string): string => `${count} ${noun}${count === 1 ? '' : 's'}`
