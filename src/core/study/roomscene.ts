/** What a study's room makes of a scene: its ratio, and what lies between instrument, noise and the place of listening. */
import { fill } from '../fields.ts'
import { dbFromPowerRatio, powerRatioFromDb } from '../maths/units.ts'
import { bodyFields } from '../scene/body.ts'
import { neighbourFields } from '../scene/neighbours.ts'
import type { Scene } from '../scene/scene.ts'
import { neighbourStrings } from './neighbours.ts'
import type { StudyRoom, StudyString } from './study.ts'

/** An instrument that was tuned a while ago; assumption. */
export const neighboursOffCents = 3

/** What string side and noise side go through. */
export type Surroundings = Pick<Scene, 'sensor' | 'body' | 'neighbours'>

export function surroundingsOf(string: StudyString, room: StudyRoom): Surroundings {
  const { sensor, body, sympatheticDb, drivenDb } = room
  const neighbours = {
    ...fill(neighbourFields, { sympatheticDb, drivenDb, detuneCents: neighboursOffCents }),
    strings: neighbourStrings(string),
    damped: false,
  }
  return {
    ...(sensor === undefined ? {} : { sensor }),
    ...(body === undefined ? {} : { body: { id: body, ...fill(bodyFields, {}) } }),
    ...(sympatheticDb === undefined && drivenDb === undefined ? {} : { neighbours }),
  }
}

/** String over noise where the method listens, dB: the trial's, or what the levels of an absolute room come to together. */
export const ratioIn = ({ parts, absolute }: StudyRoom, snrDb: number): number =>
  absolute ? -dbFromPowerRatio(parts.reduce((sum, part) => sum + powerRatioFromDb(part.levelDb), 0)) : snrDb
