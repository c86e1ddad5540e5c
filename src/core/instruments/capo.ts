/**
 * What a capo does to pitch. It ends the string at a fret, n semitones up, and presses it down, which sharpens it by a shift that
 * depends on the capo, the frets and the hand (2 to 10 cents is common; no published table). Tuned with the capo on, the fretted note
 * is right and the open string lies flat by the shift; tuned with it off, the open string is right and the capo's notes are sharp.
 */
import { hzFromCents } from '../maths/units.ts'
import { type Capo, capoFields } from './instrument.ts'

export interface CapoPitches {
  /** What the string sounds when it is brought to pitch: what a technician tunes to. */
  readonly targetHz: number
  /** Fret that ends the string meanwhile; 0: open. */
  readonly fret: number
  /** Open string without capo once it is tuned. */
  readonly openHz: number
  /** With the capo on, once it is tuned; null without a capo. */
  readonly capoHz: number | null
}

export const capoShiftCents = (capo: Capo): number => capo.shiftCents ?? capoFields.shiftCents.default

/** @param nominalHz the open string's note */
export function capoPitches(nominalHz: number, capo: Capo | null): CapoPitches {
  if (capo === null) return { targetHz: nominalHz, fret: 0, openHz: nominalHz, capoHz: null }
  const shiftCents = capoShiftCents(capo)
  const frettedHz = hzFromCents(100 * capo.fret, nominalHz)
  if (capo.tuned === 'capo-on') {
    return { targetHz: frettedHz, fret: capo.fret, openHz: hzFromCents(-shiftCents, nominalHz), capoHz: frettedHz }
  }
  return { targetHz: nominalHz, fret: 0, openHz: nominalHz, capoHz: hzFromCents(shiftCents, frettedHz) }
}
