/** Tunings by name from signals/tunings.json. Twelve equal semitones; notes are written at A4 = 440 Hz and moved with it. */
import tuningList from '../../../signals/tunings.json'
import { hzFromNote } from '../maths/units.ts'
import { Problem } from '../problem.ts'

export interface Tuning {
  readonly id: string
  readonly title: string
  /** String 1 first. */
  readonly notes: readonly string[]
}

export const tunings: readonly Tuning[] = tuningList.tunings

/** @throws Problem that lists the known ids. */
export function tuningById(id: string, where = 'tuning'): Tuning {
  const tuning = tunings.find((entry) => entry.id === id)
  if (tuning === undefined)
    throw new Problem(`no tuning "${id}"; known are ${tunings.map((entry) => entry.id).join(', ')}`, where)
  return tuning
}

export const tuningNotes = (tuning: string | readonly string[], where = 'tuning'): readonly string[] =>
  typeof tuning === 'string' ? tuningById(tuning, where).notes : tuning

/** Hz of a note with A4 at `referenceHz`; NaN for a text that names no note. */
export const noteHz = (note: string, referenceHz: number): number => (hzFromNote(note) * referenceHz) / 440
