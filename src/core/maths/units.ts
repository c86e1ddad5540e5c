/**
 * Cents, decibels, MIDI numbers and note names.
 *
 * A cent is 1/1200 of an octave (Ellis 1885). MIDI note 69 is A4 = 440 Hz (ISO 16:1975), twelve equal semitones to the
 * octave. Every decibel function says whether it means power (10 lg) or amplitude (20 lg).
 * What goes from cents, decibels or notes to a ratio is used to make sound and is the same in every engine; what measures
 * (logarithms) uses `Math.*`.
 */
import { pow } from './portable.ts'

/** Cents from `referenceHz` up to `fHz`. NaN in, NaN out; a frequency below 0 gives NaN. */
export const centsBetween = (fHz: number, referenceHz: number): number => 1200 * Math.log2(fHz / referenceHz)

export const hzFromCents = (cents: number, referenceHz: number): number => referenceHz * pow(2, cents / 1200)

export const powerRatioFromDb = (db: number): number => pow(10, db / 10)

export const amplitudeRatioFromDb = (db: number): number => pow(10, db / 20)

/** -Infinity for a ratio of 0. */
export const dbFromPowerRatio = (ratio: number): number => 10 * Math.log10(ratio)

/** -Infinity for a ratio of 0. The sign of the ratio is ignored: an inverted signal is as loud. */
export const dbFromAmplitudeRatio = (ratio: number): number => 20 * Math.log10(Math.abs(ratio))

/** Not rounded: 60 Hz is 34.506. */
export const midiFromHz = (fHz: number, a4Hz = 440): number => 69 + 12 * Math.log2(fHz / a4Hz)

export const hzFromMidi = (midi: number, a4Hz = 440): number => a4Hz * pow(2, (midi - 69) / 12)

const noteNames = ['C', 'C#', 'D', 'D#', 'E', 'F', 'F#', 'G', 'G#', 'A', 'A#', 'B']

/** The nearest note of A4 = 440 Hz, sharps only: "E2". '' for what is no frequency. */
export function noteName(fHz: number): string {
  const midi = Math.round(midiFromHz(fHz))
  if (!Number.isFinite(midi)) return ''
  const octave = Math.floor(midi / 12)
  return `${noteNames[midi - 12 * octave]}${octave - 1}`
}

const semitoneOfLetter: Readonly<Record<string, number>> = { C: 0, D: 2, E: 4, F: 5, G: 7, A: 9, B: 11 }
const notePattern = /^([A-G])(##|#|bb|b|)(-?\d{1,2})$/
const semitonesOfSign: Readonly<Record<string, number>> = { '##': 2, '#': 1, '': 0, b: -1, bb: -2 }

/** Frequency of "E2", "Bb1", "F#3" at A4 = 440 Hz. NaN for a text that is no such name. */
export function hzFromNote(name: string): number {
  const parts = notePattern.exec(name.trim())
  if (parts === null) return Number.NaN
  const [, letter, sign, octave] = parts
  return hzFromMidi(12 * (Number(octave) + 1) + semitoneOfLetter[letter] + semitonesOfSign[sign])
}
