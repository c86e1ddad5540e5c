/** What a plan needs to know of a string to turn it. */
import type { InstrumentFigures } from '../instruments/figures.ts'
import { type Instrument, kindDefaults } from '../instruments/instrument.ts'
import { noteOf } from '../study/instrumentstrings.ts'
import type { StudyString } from '../study/study.ts'
import type { PlanString } from './records.ts'

/** A string of `instrument` as a plan turns it; `number` 1 is the first string. */
export function planString(
  string: StudyString,
  figures: InstrumentFigures,
  { kind, scaleMm, peg }: Instrument,
  number: number,
): PlanString {
  const { tensionN, axialRatio, centsPerDegree } = figures.strings[number - 1]
  return {
    id: string.id,
    title: noteOf(string),
    targetHz: string.targetHz,
    centsPerDegree: centsPerDegree.value,
    tensionN: tensionN.value,
    // All of it strains, not only what sounds.
    stiffnessNPerMm:
      (axialRatio.value * tensionN.value) / (scaleMm + (peg.beyondMm ?? kindDefaults[kind].peg.beyondMm)),
  }
}
