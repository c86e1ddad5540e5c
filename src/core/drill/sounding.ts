/**
 * An exercise as it sounds live: its strings for liveplucks.ts, a loop of its room at the exercise's ratio, what of the room a method
 * may be told, and the first partial that puts a string so many cents off its note.
 *
 * The ratio speaks of the string's first second and of the whole loop. The last stretch of the loop is faded over into what came
 * before its beginning, so that no seam is heard.
 */

import { randomStream } from '../maths/random.ts'
import { type Spectrum, welch } from '../maths/spectrum.ts'
import { hzFromCents, powerRatioFromDb } from '../maths/units.ts'
import { rmsOf } from '../scene/components.ts'
import { pluckPartials } from '../scene/pluck.ts'
import { noiseSide } from '../scene/room.ts'
import { meanDeviationCents } from '../scene/truth.ts'
import { ratioIn, surroundingsOf } from '../study/roomscene.ts'
import { syntheticPluck } from '../study/stringpluck.ts'
import { drillRoom, type Exercise } from './exercise.ts'
import type { LiveString } from './liveplucks.ts'
import { drillLevelDbfs, drillStrings, roomSeed, stringSeed } from './strings.ts'

/** Long enough that nobody learns it by heart; a rhythm of the stage comes round several times. */
const loopS = 12
const seamS = 0.05

export interface Sounding {
  readonly strings: readonly LiveString[]
  /** First partial of each string when it stands on its note. */
  readonly homeHz: readonly number[]
}

export function soundingOf(exercise: Exercise, seed: number, sampleRateHz: number): Sounding {
  const strings = drillStrings(exercise).map(({ study }, at): LiveString => {
    return { pluck: syntheticPluck(study, 0, study.targetHz), seed: stringSeed(seed, at) }
  })
  const homeHz = strings.map(({ pluck, seed: own }) => {
    // A technician tunes the mean of the low partials as they sound, which the string's scatter moves off its first.
    const partials = pluckPartials(pluck, sampleRateHz, { seed: own, index: 0 })
    return hzFromCents(-meanDeviationCents(partials), pluck.firstPartialHz)
  })
  return { strings, homeHz }
}

export interface RoomLoop {
  readonly samples: Float32Array
  /** As it was learnt: one-sided power density. */
  readonly spectrum: Spectrum
}

/** @throws Problem for a room without a sound. */
export function roomLoop(exercise: Exercise, seed: number, sampleRateHz: number): RoomLoop {
  const [first] = drillStrings(exercise)
  const room = drillRoom(exercise.room)
  const seam = Math.round(seamS * sampleRateHz)
  const length = Math.round(loopS * sampleRateHz)
  const setting = {
    sampleRateHz,
    random: randomStream(roomSeed(seed), 'loop'),
    pluck: null,
    onsetS: 0,
    targetHz: first.study.targetHz,
    recordings: new Map(),
    where: room.parts.map((_, index) => `parts.${index}`),
  }
  const way = { stringSeed: stringSeed(seed, 0), ...surroundingsOf(first.study, room) }
  const long = noiseSide(seam + length, room.parts, setting, way, { from: 0, to: seam + length })
  const loop = long.subarray(seam)
  for (let i = 0; i < seam; i++) {
    const share = (i + 0.5) / seam
    const at = length - seam + i
    // Equal power: the two stretches know nothing of each other.
    loop[at] = Math.sqrt(1 - share) * loop[at] + Math.sqrt(share) * long[i]
  }
  const power = loop.reduce((sum, value) => sum + value * value, 0) / length
  const wanted = rmsOf({ levelDbfs: drillLevelDbfs }) ** 2 / powerRatioFromDb(ratioIn(room, exercise.snrDb))
  const gain = Math.sqrt(wanted / power)
  const samples = Float32Array.from(loop, (value) => gain * value)
  return { samples, spectrum: welch(samples, sampleRateHz) }
}
