/**
 * The summary as a flat table: one row a cell, one column a number, the same columns and order wherever a table is shown or
 * saved. A figure takes four columns (value, low, high, n); an empty field is no value, or the
 * end of an interval that lies beyond the take or cannot be given.
 */
import type { Cell, Figure } from './summary.ts'

type FigureName = { [K in keyof Cell]: Cell[K] extends Figure | null ? K : never }[keyof Cell]

const plain = ['string', 'room', 'snrDb', 'method', 'n', 'failed', 'boundSdCents', 'boundLockS'] as const

const figures: readonly FigureName[] = [
  'medianAbsCents',
  'offsetCents',
  'noiseErrorCents',
  'sdCents',
  'boundRatio',
  'firstSteadyS',
  'lockS',
  'within5S',
  'within1S',
  'trueRate',
  'falseRoomRate',
  'falseStructuralRate',
  'noLockRate',
  'missing',
  'grossRate',
  'octaveRate',
  'inBandMedianDb',
  'inBandMinDb',
  'ratioAt02S',
  'ratioAt05S',
  'ratioAt1S',
  'ratioAt2S',
  'foreignCents',
]

const quoted = (text: string): string => (/[",\r\n]/.test(text) ? `"${text.replaceAll('"', '""')}"` : text)

/** RFC 4180, numbers in full precision, so that reading it back loses nothing. */
export function csvOfCells(cells: readonly Cell[]): string {
  const head = [...plain, ...figures.flatMap((name) => [name, `${name}Low`, `${name}High`, `${name}N`]), 'boundNote']
  const rows = cells.map((cell) => [
    ...plain.map((name) => String(cell[name] ?? '')),
    ...figures.flatMap((name) => figureFields(cell[name])),
    cell.boundNote ?? '',
  ])
  return [head, ...rows].map((row) => `${row.map(quoted).join(',')}\r\n`).join('')
}

function figureFields(figure: Figure | null): string[] {
  if (figure === null) return ['', '', '', '']
  return [figure.value, figure.low, figure.high, figure.n].map((value) => (Number.isFinite(value) ? String(value) : ''))
}
