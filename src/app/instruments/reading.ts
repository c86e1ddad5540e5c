/**
 * Text of a field into a number, or a sentence that names the field, what was typed, the limit and what stays. Text that is
 * no number never becomes one quietly.
 */
import { checked, type Field } from '../../core/fields.ts'
import type { InstrumentField } from '../../core/instruments/instrument.ts'
import { Problem } from '../../core/problem.ts'

/** Unit behind a number, with its space; '' where there is none. */
export const unitAfter = ({ unit }: InstrumentField): string => (unit === 'ratio' || unit === 'count' ? '' : ` ${unit}`)

/** "300 to 1100 mm". */
export const limitsOf = (field: InstrumentField): string => `${field.min} to ${field.max}${unitAfter(field)}`

/** A comma is read as a decimal point: half of Europe types one. @throws Problem naming value and limit. */
export function readNumber(text: string, field: InstrumentField): number {
  const plain = text.trim().replace(',', '.').replace('−', '-')
  if (plain === '') throw new Problem(`nothing is written; it takes ${limitsOf(field)}`, '')
  const value = Number(plain)
  if (Number.isNaN(value)) throw new Problem(`"${text.trim()}" is not a number; it takes ${limitsOf(field)}`, '')
  return checked(value, field as Field, '')
}

/** As a field shows a number: no places that are not there. */
export const numberText = (value: number): string => `${Number(value.toPrecision(10))}`

/** "Scale length: 2000 is above 1100 mm. 648 mm stays." */
export const refusal = (title: string, problem: Problem, stays: string): string =>
  `${title}: ${problem.message}. ${stays === '' ? 'What was there' : stays} stays.`
