/**
 * A setting declared once. The form, the command-line flag, the check and the documentation all come from it.
 *
 * Every setting is a number: a choice among words is its own method or noise, so that ids in records keep their meaning.
 */
import { Problem } from './problem.ts'

export type Unit =
  | ('Hz' | 's' | 'ms' | 'dB' | 'dB/oct' | 'c' | 'samples' | 'ratio' | 'count' | 'rad' | 'kg/s')
  | ('deg' | 'deg/s' | 'N/mm')

export interface Field {
  readonly default: number
  readonly min: number
  readonly max: number
  readonly unit: Unit
  /** One sentence in plain words. */
  readonly help: string
  /** Only whole numbers are accepted. */
  readonly whole?: boolean
}

export type Fields = Readonly<Record<string, Field>>
export type Values<F extends Fields = Fields> = { readonly [K in keyof F]: number }

/**
 * Defaults, with `given` laid over them.
 * @throws Problem for an unknown name (never ignored), a value that is no finite number, or one outside its limits.
 */
export function fill<F extends Fields>(fields: F, given: Readonly<Record<string, unknown>>, where = ''): Values<F> {
  const values: Record<string, number> = {}
  for (const [name, field] of Object.entries(fields)) values[name] = field.default
  for (const [name, value] of Object.entries(given)) {
    if (value === undefined) continue
    const field = Object.hasOwn(fields, name) ? fields[name] : undefined
    const path = where === '' ? name : `${where}.${name}`
    if (field === undefined) {
      const known = Object.keys(fields).join(', ')
      throw new Problem(`no such setting; ${known === '' ? 'there are none here' : `known are ${known}`}`, path)
    }
    values[name] = checked(value, field, path)
  }
  return values as Values<F>
}

/** `value` if it is a number that `field` allows. @throws Problem naming value and limit. */
export function checked(value: unknown, field: Field, where: string): number {
  if (typeof value !== 'number' || Number.isNaN(value)) {
    throw new Problem(`${typeof value === 'number' ? 'NaN' : JSON.stringify(value)} is not a number`, where)
  }
  if (value < field.min) throw new Problem(`${value} is below ${withUnit(field.min, field.unit)}`, where)
  if (value > field.max) throw new Problem(`${value} is above ${withUnit(field.max, field.unit)}`, where)
  if (field.whole && !Number.isInteger(value)) throw new Problem(`${value} is not a whole number`, where)
  return value
}

const withUnit = (value: number, unit: Unit): string =>
  unit === 'ratio' || unit === 'count' ? `${value}` : `${value} ${unit}`
