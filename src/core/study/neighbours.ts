/**
 * The other strings of the instrument that a study's string belongs to: those written out with it, or as they stand in
 * signals/strings.json.
 *
 * A string that neither tells of is taken for one of a six-string guitar in standard tuning.
 */
import stringList from '../../../signals/strings.json'
import { fill } from '../fields.ts'
import { centsBetween } from '../maths/units.ts'
import { type NeighbourString, neighbourStringFields, standardNeighbours } from '../scene/neighbours.ts'
import type { StudyString } from './study.ts'

/** An open string as near as this to the note in hand is the one in hand: half a semitone. */
const sameCents = 50

export function neighbourStrings(string: StudyString): readonly NeighbourString[] {
  if (string.neighbours !== undefined) return string.neighbours
  const { instrument } = stringList.strings.find(({ id }) => id === string.id) ?? {}
  const strings =
    instrument === undefined
      ? standardNeighbours
      : stringList.strings
          .filter((other) => other.instrument === instrument)
          .map(({ targetHz, pluck: { stiffness, decayS, highDecayRatio } }) =>
            fill(neighbourStringFields, { firstPartialHz: targetHz, stiffness, decayS, highDecayRatio }),
          )
  return strings.filter((other) => Math.abs(centsBetween(other.firstPartialHz, string.targetHz)) > sameCents)
}
