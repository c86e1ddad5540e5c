/** What every picture of the bench is drawn from: one column's figures, ready to place. */
import type { Figure } from '../../core/score/summary.ts'
import type { Study } from '../../core/study/study.ts'
import { namesOf } from '../run/names.ts'
import { type BenchCell, type Cells, type Column, ratiosOf } from './columns.ts'
import { hasInterval } from './figures.ts'

/** A median of |error| of a Gaussian of deviation 1: the 75 % point of the normal distribution. */
const medianOfSigma = 0.6745

export interface PlotRow {
  readonly snrDb: number
  /** By method. */
  readonly cells: Readonly<Record<string, BenchCell | undefined>>
  /** Smallest over the methods: each has its own evidence, and none may enter the ground below. Null: no bound here. */
  readonly boundCents: number | null
  readonly boundS: number | null
  /** Trials the emptiest cell needs before it has an interval; 0 where nothing was computed at all. */
  readonly missing: number
  /** Trials of the emptiest cell. */
  readonly n: number
}

export interface Plot {
  readonly column: Column
  /** Its noise is not Gaussian by nature, so the bound speaks of Gaussian noise of the same spectrum. */
  readonly asIfGaussian: boolean
  readonly rows: readonly PlotRow[]
}

export function plotOf(study: Study, cells: Cells, column: Column): Plot {
  const rows = ratiosOf(study).map((snrDb): PlotRow => {
    const found = namesOf(study).map((id) => [id, cells.at(column.string, column.room, snrDb, id)] as const)
    const least = (pick: (cell: BenchCell) => number | null): number | null => {
      const values = found.flatMap(([, cell]) => (cell === undefined ? [] : (pick(cell) ?? [])))
      return values.length === 0 ? null : Math.min(...values)
    }
    const counts = found.map(([, cell]) => cell?.n ?? 0)
    return {
      snrDb,
      cells: Object.fromEntries(found),
      boundCents: least((cell) => (cell.boundSdCents === null ? null : medianOfSigma * cell.boundSdCents)),
      boundS: least((cell) => cell.boundLockS),
      missing: Math.max(0, ...found.map(([, cell]) => cell?.lacking ?? 0)),
      n: Math.min(...counts),
    }
  })
  const parts = study.rooms.find((room) => room.id === column.room)?.parts ?? []
  return { column, rows, asIfGaussian: parts.some((part) => part.id !== 'white' && part.id !== 'pink') }
}

export type Quantity = 'medianAbsCents' | 'firstSteadyS'

export function figureOf(row: PlotRow, method: string, quantity: Quantity): Figure | null {
  const figure = row.cells[method]?.[quantity] ?? null
  return figure !== null && Number.isFinite(figure.value) ? figure : null
}

/** The figure's interval when there are trials enough for it to mean something. */
export function intervalOf(row: PlotRow, method: string, quantity: Quantity): readonly [number, number] | null {
  const cell = row.cells[method]
  const figure = figureOf(row, method, quantity)
  if (cell === undefined || figure === null || cell.lacking > 0 || !hasInterval(figure)) return null
  return [figure.low, figure.high]
}

export const boundOf = (row: PlotRow, quantity: Quantity): number | null =>
  quantity === 'medianAbsCents' ? row.boundCents : row.boundS
