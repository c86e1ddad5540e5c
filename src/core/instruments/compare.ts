/**
 * Two set-ups side by side: what another gauge, tuning or scale does to pull, peg and stiffness. The second is compared with the
 * first, string by number. Also the changes people ask about, as new instruments: other gauges, another tuning, all strings moved.
 */
import { noteName } from '../maths/units.ts'
import { type InstrumentFigures, instrumentFigures, type StringFigures } from './figures.ts'
import type { Gauges, Instrument } from './instrument.ts'
import { type Reckoning, reckoned } from './reckoning.ts'
import { noteHz, tuningNotes } from './tunings.ts'

export interface Change {
  readonly from: Reckoning
  readonly to: Reckoning
  readonly difference: Reckoning
  /** 100 (to/from - 1); -10.9 for half a step down in tension. */
  readonly percent: Reckoning
}

/** Figures that are compared string by string. */
const compared = [
  'massKgPerM',
  'tensionN',
  'stressMpa',
  'strengthShare',
  'stiffness',
  'axialRatio',
  'centsPerDegree',
  'centsPerKelvin',
] as const
export type ComparedFigure = (typeof compared)[number]

export interface StringComparison {
  readonly number: number
  /** null: that set-up has no such string. */
  readonly from: StringFigures | null
  readonly to: StringFigures | null
  /** null unless both have it. */
  readonly changes: Readonly<Record<ComparedFigure, Change>> | null
}

export interface SetupComparison {
  readonly from: InstrumentFigures
  readonly to: InstrumentFigures
  readonly strings: readonly StringComparison[]
  readonly totalPullN: Change
  /** Alarms of the second that the first does not have. */
  readonly newAlarms: readonly string[]
}

/** @throws Problem for an instrument that `parseInstrument` would refuse. */
export function compareSetups(from: Instrument, to: Instrument): SetupComparison {
  const [before, after] = [instrumentFigures(from), instrumentFigures(to)]
  const count = Math.max(before.strings.length, after.strings.length)
  return {
    from: before,
    to: after,
    strings: Array.from({ length: count }, (_, index) =>
      compareStrings(index + 1, before.strings[index] ?? null, after.strings[index] ?? null),
    ),
    totalPullN: change(before.totalPullN, after.totalPullN),
    newAlarms: after.strings.flatMap(({ alarm }, index) =>
      alarm !== null && !before.strings[index]?.alarm ? [alarm] : [],
    ),
  }
}

/** The same instrument with other gauges. */
export const withGauges = (instrument: Instrument, gauges: string | Gauges): Instrument => ({ ...instrument, gauges })

/** The same instrument in another tuning. */
export const withTuning = (instrument: Instrument, tuning: string | readonly string[]): Instrument => ({
  ...instrument,
  tuning,
})

/** Every string moved by whole semitones: -1 is half a step down. Notes are written with sharps. */
export const transposed = (instrument: Instrument, semitones: number): Instrument =>
  withTuning(
    instrument,
    tuningNotes(instrument.tuning).map((note) => noteName(noteHz(note, 440) * 2 ** (semitones / 12))),
  )

function compareStrings(number: number, from: StringFigures | null, to: StringFigures | null): StringComparison {
  if (from === null || to === null) return { number, from, to, changes: null }
  const changes = Object.fromEntries(compared.map((name) => [name, change(from[name], to[name])]))
  return { number, from, to, changes: changes as Record<ComparedFigure, Change> }
}

function change(from: Reckoning, to: Reckoning): Change {
  const assumes = [...from.assumes, ...to.assumes]
  return {
    from,
    to,
    difference: reckoned(to.value - from.value, ...assumes),
    percent: reckoned(100 * (to.value / from.value - 1), ...assumes),
  }
}
