/** Comparisons in words: who shares a place, what a difference means, what a p means. Verdict first, then number, p, n. */
import { type PairedDifference, type PairedFigure, type Place, toldApartP } from '../../core/score/paired.ts'
import { counted, listed, plainNumber } from './figures.ts'

/** Names are listed up to here; more are counted. */
const fewNames = 4

/** Of methods placed together, best first. Nothing to say of one alone, or before there is a trial. */
export function sharedPlaceWords(places: readonly Place[]): string {
  const [first] = places
  if (first === undefined || first.n === 0 || places.length < 2) return ''
  const tied = places.filter((place) => place.tied)
  const trials = counted(first.n, 'trial')
  if (tied.length === 1) return `${first.method} is first: told from every other in the same ${trials} (Holm, 5 %).`
  const who =
    tied.length === places.length
      ? places.length === 2
        ? 'Both'
        : `All ${tied.length}`
      : tied.length <= fewNames
        ? listed(tied.map(({ method }) => method))
        : `${tied.length} of ${places.length}`
  return `${who} share the first place: the same ${trials} cannot tell them apart (Holm, 5 %).`
}

/** "p 0.03", "p under 0.001". */
export function pWords(p: number): string {
  if (Number.isNaN(p)) return 'no p'
  if (p < 0.001) return 'p under 0.001'
  return `p ${p < 0.1 ? p.toFixed(3) : p.toFixed(2)}`
}

const signed = (value: number, figure: PairedFigure): string => {
  const text = figure === 'lock' ? value.toFixed(2).replace('-', '−') : plainNumber(value)
  return value > 0 ? `+${text}` : text
}

const unitOf = (figure: PairedFigure): string => (figure === 'lock' ? 's' : 'c')

/** "+1.2 c (0.4 to 2.0)", "no pair". */
export function differenceWords({ difference }: PairedDifference, figure: PairedFigure): string {
  const { value, low, high, n } = difference
  if (n === 0) return 'no pair'
  const ends = Number.isNaN(low) || Number.isNaN(high) ? '' : ` (${signed(low, figure)} to ${signed(high, figure)})`
  return `${signed(value, figure)} ${unitOf(figure)}${ends}`
}

/** Whether the two are told apart, and which way: said of the mean, which is what the test asks about. */
export function verdictWords(one: PairedDifference, figure: PairedFigure): string {
  if (one.difference.n === 0) return 'nothing to compare'
  const mean = `mean ${signed(one.mean, figure)} ${unitOf(figure)}, ${pWords(one.p)}`
  if (!(one.p < toldApartP)) return `not told apart: ${mean}`
  const word = figure === 'lock' ? (one.mean < 0 ? 'sooner' : 'later') : one.mean < 0 ? 'closer' : 'further off'
  return `${word}: ${mean}`
}

/** What pairs without a value did; empty when there is none. */
export function withoutWords(one: PairedDifference, reference: string, figure: PairedFigure): string {
  const parts = [
    one.withoutOther > 0 && `${one.withoutOther} ${one.method} only`,
    one.withoutReference > 0 && `${one.withoutReference} ${reference} only`,
    one.withoutBoth > 0 && `${one.withoutBoth} both`,
  ].filter((part): part is string => part !== false)
  if (parts.length === 0) return ''
  return `${figure === 'lock' ? 'no true claim' : 'no reading'}: ${parts.join(', ')}`
}
