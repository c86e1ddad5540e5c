/**
 * "Holds down to": the lowest ratio at which a method, and at every ratio above it, claims truly in 95 % of trials. Its
 * interval follows from the Wilson intervals of those rates: the lowest ratio that could hold, to the lowest that surely
 * does.
 */
import type { Figure } from '../../core/score/summary.ts'
import type { Study } from '../../core/study/study.ts'
import { type Cells, type Column, ratiosOf } from './columns.ts'

const wanted = 0.95

/** With 73 true claims in 73 the lower end of the Wilson interval is 73 / (73 + 1.96^2) = 0.95; with fewer it cannot be. */
export const trialsToBeSure = 73

export interface Hold {
  readonly method: string
  /** dB; NaN: not by the highest ratio there is. */
  readonly snrDb: number
  /** Lowest ratio that could hold; NaN: none could. */
  readonly lowDb: number
  /** Lowest ratio that surely holds; NaN: open upwards. */
  readonly highDb: number
  /** Trials of its emptiest cell; 0: nothing computed yet. */
  readonly n: number
}

export function holdOf(study: Study, cells: Cells, column: Column, method: string): Hold {
  const ratios = ratiosOf(study)
  const rates = ratios.map((snrDb) => cells.at(column.string, column.room, snrDb, method))
  const lowest = (passes: (rate: Figure) => boolean): number => {
    let found = Number.NaN
    for (let at = ratios.length - 1; at >= 0; at -= 1) {
      const rate = rates[at]?.trueRate
      if (rate === null || rate === undefined || !passes(rate)) break
      found = ratios[at] as number
    }
    return found
  }
  return {
    method,
    snrDb: lowest((rate) => rate.value >= wanted),
    lowDb: lowest((rate) => rate.high >= wanted),
    highDb: lowest((rate) => rate.low >= wanted),
    n: Math.min(...rates.map((cell) => cell?.n ?? 0)),
  }
}

/** Lowest first; those that do not hold stand last, in the study's order. */
export function sortedHolds(study: Study, cells: Cells, column: Column, methods: readonly string[]): readonly Hold[] {
  const rank = (hold: Hold): number => (Number.isNaN(hold.snrDb) ? Number.POSITIVE_INFINITY : hold.snrDb)
  return methods.map((method) => holdOf(study, cells, column, method)).sort((a, b) => rank(a) - rank(b) || 0)
}
