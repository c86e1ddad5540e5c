/**
 * The strings of an instrument as strings of a study: pitch and stiffness from the instrument, all else usual for its kind,
 * each with the others of its instrument beside it.
 *
 * Neither the body an instrument ends on nor the pickup it is heard through comes along: those are the room's to say.
 */
import { instrumentFigures } from '../instruments/figures.ts'
import type { Instrument } from '../instruments/instrument.ts'
import { type StringPluck, stringPluck } from '../instruments/pluck.ts'
import { kindPluckValues } from '../scene/kinds.ts'
import { type NeighbourString, neighbourStringFields } from '../scene/neighbours.ts'
import { stringLaw } from '../scene/stringlaw.ts'
import type { StudyString } from './study.ts'

/** As the strings of signals/strings.json: peaks a few dB under full scale. Assumption. */
export const instrumentLevelDbfs = -14

/**
 * String 1 last, as bare strings are listed. Ids are "E2 of ring-rhythm", with the string's number where a note comes twice.
 * @throws Problem when the instrument has no figures.
 */
export function instrumentStrings(instrument: Instrument): readonly StudyString[] {
  const notes = instrumentFigures(instrument).strings.map(({ note }) => note)
  const plucks = notes.map((_, index) => stringPluck(instrument, index))
  const ringing = plucks.map(asNeighbour)
  return plucks
    .map((string, index): StudyString => {
      const note = notes[index]
      const twice = notes.indexOf(note) !== notes.lastIndexOf(note)
      const { fret, kind, targetHz, pluck } = string
      return {
        id: `${twice ? `${note} (${index + 1})` : note} of ${instrument.id}`,
        targetHz,
        pluck: {
          // A pluck wants the open string's and shortens it itself: the fret also takes from its ring.
          stiffness: rounded(pluck.stiffness / 2 ** (fret / 6)),
          levelDbfs: instrumentLevelDbfs,
          ...(fret === 0 ? {} : { fret }),
        },
        kind,
        neighbours: ringing.filter((_, other) => other !== index),
      }
    })
    .reverse()
}

/** The instrument's id in a string's id, or null. */
export const instrumentOf = ({ id }: StudyString): string | null => / of (.+)$/.exec(id)?.[1] ?? null

/** The string's note: its id without the instrument. */
export const noteOf = ({ id }: Pick<StudyString, 'id'>): string => id.replace(/ of .+$/, '')

/** It sounds from the same fret as the string in hand: the capo lies over all of them. */
function asNeighbour({ kind, targetHz, pluck, fret }: StringPluck): NeighbourString {
  const { decayS, highDecayRatio } = kindPluckValues(kind, targetHz)
  const { default: usualS } = neighbourStringFields.decayS
  const { default: usualRatio } = neighbourStringFields.highDecayRatio
  const open = {
    firstPartialHz: targetHz,
    stiffness: pluck.stiffness / 2 ** (fret / 6),
    decayS: decayS ?? usualS,
    highDecayRatio: highDecayRatio ?? usualRatio,
  }
  const sounding = stringLaw({ ...open, fret })
  return {
    firstPartialHz: targetHz,
    stiffness: rounded(sounding.stiffness),
    decayS: rounded(sounding.decayS),
    highDecayRatio: sounding.highDecayRatio,
  }
}

/** Six digits: more are not known, and a link that holds the study stays short. */
const rounded = (value: number): number => Number(value.toPrecision(6))
