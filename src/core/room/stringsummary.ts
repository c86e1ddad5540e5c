/** Several plucks of one string, put together: means with bootstrap intervals over the plucks. */
import { bootstrap, type Figure, mean } from '../maths/statistics.ts'
import type { StringFigures } from './stringfigures.ts'

/** NaN bounds: no interval, there was one pluck only. `n`: plucks in which the figure could be measured. */
export interface StringSummary {
  readonly string: string
  readonly plucks: number
  readonly f1Hz: Figure
  readonly offCents: Figure
  readonly stiffness: Figure
  readonly scatterCents: Figure
  readonly decayS: Figure
  readonly ratioDb: Figure
  readonly ratioAtDb: readonly Figure[]
  readonly partialRatioDb: readonly Figure[]
  readonly partialDecayS: readonly Figure[]
}

/** Decibels are averaged as decibels: what a typical pluck has. `plucks`: of one string, one at least. */
export function summariseString(plucks: readonly StringFigures[], seed: number): StringSummary {
  const over = (value: (pluck: StringFigures) => number | null | undefined): Figure =>
    bootstrap([plucks.map((pluck) => value(pluck) ?? Number.NaN)], mean, seed)
  const counted = (n: number, value: (pluck: StringFigures, i: number) => number | null | undefined): Figure[] =>
    Array.from({ length: n }, (_, i) => over((pluck) => value(pluck, i)))
  const partials = Math.max(0, ...plucks.map((pluck) => pluck.partials.length))
  return {
    string: plucks[0]?.string ?? '',
    plucks: plucks.length,
    f1Hz: over(({ f1Hz }) => f1Hz),
    offCents: over(({ offCents }) => offCents),
    stiffness: over(({ stiffness }) => stiffness),
    scatterCents: over(({ scatterCents }) => scatterCents),
    decayS: over(({ decayS }) => decayS),
    ratioDb: over(({ ratioDb }) => ratioDb),
    ratioAtDb: counted(plucks[0]?.ratioAtDb.length ?? 0, ({ ratioAtDb }, i) => ratioAtDb[i]),
    partialRatioDb: counted(partials, (pluck, i) => pluck.partials[i]?.ratioDb),
    partialDecayS: counted(partials, (pluck, i) => pluck.partials[i]?.decayS),
  }
}
