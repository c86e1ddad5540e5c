/**
 * What a study needs to know to pluck one string of an instrument. `targetHz` and `pluck.stiffness` are those of the string as it is
 * tuned, so with the capo on when the player tunes that way. Decay, glide and pick position are not the instrument's to say.
 */
import { Problem } from '../problem.ts'
import { instrumentFigures } from './figures.ts'
import type { Instrument, InstrumentKind } from './instrument.ts'

export interface StringPluck {
  /** "ring-rhythm-6". */
  readonly id: string
  /** "Rhythm electric, string 6 (E2)". */
  readonly title: string
  readonly kind: InstrumentKind
  readonly targetHz: number
  readonly pluck: { readonly stiffness: number }
  /** Whether the stiffness is computed or an estimate. */
  readonly status: 'computed' | 'estimate'
  readonly fret: number
  readonly toleranceCents: number
}

/** @param stringIndex 0 is string 1. @throws Problem when there is no such string. */
export function stringPluck(instrument: Instrument, stringIndex: number): StringPluck {
  const { strings } = instrumentFigures(instrument)
  const string = strings[stringIndex]
  if (string === undefined) {
    throw new Problem(`no string ${stringIndex + 1}; there are ${strings.length}`, instrument.id)
  }
  const fretted = string.fret === 0 ? '' : `, capo at ${string.fret}`
  return {
    id: `${instrument.id}-${string.number}`,
    title: `${instrument.title}, string ${string.number} (${string.note}${fretted})`,
    kind: instrument.kind,
    targetHz: string.targetHz,
    pluck: { stiffness: string.stiffness.value },
    status: string.stiffness.status,
    fret: string.fret,
    toleranceCents: instrument.toleranceCents,
  }
}
