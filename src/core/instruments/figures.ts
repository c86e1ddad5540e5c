/**
 * All figures of an instrument, string by string, each with what it assumes. Pure: nothing is cached, nothing is kept.
 *
 * The tension is that of the open string as it stands once tuned (a capo that is tuned with lowers it a little).
 */
import { capoPitches, capoShiftCents } from './capo.ts'
import { cautions } from './cautions.ts'
import { stringMakes } from './gauges.ts'
import { type Instrument, kindDefaults, pegFields } from './instrument.ts'
import { centsPerDegree, type Peg } from './peg.ts'
import { type Reckoning, reckoned } from './reckoning.ts'
import { stiffness, stiffnessAtFret } from './stiffness.ts'
import { alarmShare, breakingLoad, semitonesToAlarm } from './strength.ts'
import { axialStiffnessN, loadAreaM2, makeLabel, massPerLength, type StringMake } from './stringmake.ts'
import { tensionN } from './tension.ts'
import { centsPerKelvin } from './thermal.ts'
import { noteHz, tuningNotes } from './tunings.ts'

export interface StringFigures {
  /** 1 is the first string. */
  readonly number: number
  /** Note of the open string, as the tuning writes it. */
  readonly note: string
  /** "0.046 in on a 0.016 in core". */
  readonly make: string
  /** What a technician tunes to: the capo's note when the strings are tuned with the capo on. */
  readonly targetHz: number
  /** Fret that ends the string while it is tuned; 0: open. */
  readonly fret: number
  /** Open string, once tuned. */
  readonly openHz: number
  /** With the capo on, once tuned; null: the player uses none. */
  readonly capoHz: number | null
  /** How much sharper than equal temperament the capo makes it; null: no capo. */
  readonly capoShiftCents: Reckoning | null
  readonly massKgPerM: Reckoning
  readonly tensionN: Reckoning
  /** In the plain string or the core. */
  readonly stressMpa: Reckoning
  readonly breakingLoadN: Reckoning
  /** Tension over least breaking load. */
  readonly strengthShare: Reckoning
  /** How far up it may be tuned until the alarm; negative: past it. */
  readonly semitonesToAlarm: Reckoning
  /** B as it is tuned: of the fretted string when the capo is on. */
  readonly stiffness: Reckoning
  /** E A over T: relative change of tension for one of length. */
  readonly axialRatio: Reckoning
  /** Of the tuning peg. */
  readonly centsPerDegree: Reckoning
  /** Warmer by one kelvin, on a neck that stands still. */
  readonly centsPerKelvin: Reckoning
  /** A sentence when the string is at the alarm or over it. */
  readonly alarm: string | null
}

export interface InstrumentFigures {
  readonly id: string
  readonly strings: readonly StringFigures[]
  /** Sum of the tensions: what neck and bridge stand against. */
  readonly totalPullN: Reckoning
  readonly alarms: readonly string[]
  /** Every assumption in play, once. */
  readonly assumptions: readonly string[]
  readonly cautions: readonly string[]
}

/** @throws Problem for an instrument that `parseInstrument` would refuse. */
export function instrumentFigures(instrument: Instrument): InstrumentFigures {
  const notes = tuningNotes(instrument.tuning)
  const strings = stringMakes(instrument.gauges).map((make, index) =>
    stringFigures(instrument, make, notes[index], index),
  )
  return {
    id: instrument.id,
    strings,
    totalPullN: reckoned(
      strings.reduce((sum, string) => sum + string.tensionN.value, 0),
      ...strings.flatMap((string) => string.tensionN.assumes),
    ),
    alarms: strings.flatMap((string) => (string.alarm === null ? [] : [string.alarm])),
    assumptions: [...new Set(strings.flatMap(assumptionsOf))],
    cautions,
  }
}

function stringFigures(instrument: Instrument, make: StringMake, note: string, index: number): StringFigures {
  const { capo } = instrument
  const pitches = capoPitches(noteHz(note, instrument.referenceHz), capo)
  const lengthM = instrument.scaleMm / 1000
  const mass = massPerLength(make)
  const tension = tensionN(mass.value, lengthM, pitches.openHz)
  const breaking = breakingLoad(make)
  const share = tension / breaking.value
  const shareAssumes = [...mass.assumes, ...breaking.assumes]
  const elasticAssumes = [...mass.assumes, ...make.load.elasticAssumes]
  const axial = axialStiffnessN(make)
  const { peg, assumes: pegAssumes } = pegOf(instrument)
  const number = index + 1
  return {
    number,
    note,
    make: makeLabel(make),
    ...pitches,
    capoShiftCents:
      capo === null
        ? null
        : reckoned(capoShiftCents(capo), ...(capo.shiftCents === undefined ? [capoAssumes(capoShiftCents(capo))] : [])),
    massKgPerM: mass,
    tensionN: reckoned(tension, ...mass.assumes),
    stressMpa: reckoned(tension / loadAreaM2(make) / 1e6, ...mass.assumes),
    breakingLoadN: breaking,
    strengthShare: reckoned(share, ...shareAssumes),
    semitonesToAlarm: reckoned(semitonesToAlarm(share), ...shareAssumes),
    stiffness: reckoned(
      stiffnessAtFret(stiffness(make, tension, lengthM), pitches.fret),
      ...elasticAssumes,
      ...(make.core === null ? [] : [woundStiffnessAssumes]),
    ),
    axialRatio: reckoned(axial / tension, ...elasticAssumes),
    centsPerDegree: reckoned(
      centsPerDegree(make, tension, instrument.scaleMm, peg),
      freeAssumes,
      ...pegAssumes,
      ...elasticAssumes,
    ),
    centsPerKelvin: reckoned(
      centsPerKelvin(make, tension),
      rigidAssumes,
      ...(make.load.musicWire ? [] : [nylonWarmthAssumes]),
      ...elasticAssumes,
    ),
    alarm: share >= alarmShare ? alarmSentence(number, note, share, make) : null,
  }
}

const freeAssumes = 'peg: the string slides freely over nut and saddle, and neck and bridge do not yield'
const rigidAssumes = 'warmth: only the string grows; the neck stands still'
const nylonWarmthAssumes = 'warmth: growth of bulk nylon; its modulus changes too, so even the sign is uncertain'
const woundStiffnessAssumes = 'wound string: only the core bends; B is good to a factor of two'
const capoAssumes = (cents: number): string => `capo: sharpens by ${cents} cents`

/** The peg, and what of it is assumed. */
function pegOf({ kind, peg }: Instrument): { peg: Peg; assumes: string[] } {
  const defaults = kindDefaults[kind].peg
  const names = Object.keys(pegFields) as (keyof Peg)[]
  const words = {
    ratio: `peg: ${defaults.ratio}:1`,
    postMm: `peg: post of ${defaults.postMm} mm`,
    beyondMm: `peg: ${defaults.beyondMm} mm of string beyond nut and saddle`,
  }
  return {
    peg: { ...defaults, ...peg },
    assumes: names.filter((name) => peg[name] === undefined).map((name) => words[name]),
  }
}

function alarmSentence(number: number, note: string, share: number, make: StringMake): string {
  const part = make.core === null ? 'its wire' : 'its core (estimate)'
  const percent = Math.round(100 * share)
  const what = share >= 1 ? 'expect it to break' : `from ${100 * alarmShare} % on it may stretch for good or break`
  return `String ${number} (${note}) stands at ${percent} % of the least strength of ${part}: ${what}. Mind your eyes.`
}

function assumptionsOf(string: StringFigures): readonly string[] {
  return [
    string.massKgPerM,
    string.breakingLoadN,
    string.stiffness,
    string.centsPerDegree,
    string.centsPerKelvin,
    ...(string.capoShiftCents === null ? [] : [string.capoShiftCents]),
  ].flatMap((figure) => figure.assumes)
}
