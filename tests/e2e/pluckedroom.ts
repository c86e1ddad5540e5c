/** Sound for the fake device: a steady room with plucks in it, at places and levels that are known, by our own renderer. */
import { hzFromCents, powerRatioFromDb } from '../../src/core/maths/units.ts'
import { meanSquareOfFirstSecond, renderString } from '../../src/core/scene/render.ts'
import type { RoomPart } from '../../src/core/scene/scene.ts'
import { syntheticPluck } from '../../src/core/study/stringpluck.ts'
import type { StudyString } from '../../src/core/study/study.ts'
import { partsNoise } from '../unit/roomtakes.ts'

export interface PlacedPluck {
  readonly string: StudyString
  /** Off the string's own target. */
  readonly cents: number
  /** From the start of the sound. */
  readonly atS: number
  /** How long it rings until a hand stops it. */
  readonly ringS: number
  /** Its first second, undamped, over the room. */
  readonly ratioDb: number
}

/** A hand stops a string within some hundredths of a second (assumption). */
const stopS = 0.03
/** Of full scale: converters are set so that nothing clips. */
const peak = 0.7

export function pluckedRoom(
  seconds: number,
  parts: readonly RoomPart[],
  plucks: readonly PlacedPluck[],
  rateHz: number,
  seed: number,
): Float32Array {
  const sound = partsNoise(parts, seconds, rateHz, seed)
  for (const [i, { string, cents, atS, ringS, ratioDb }] of plucks.entries()) {
    const { samples, unit } = rendered(string, cents, ringS, rateHz, seed + i)
    const gain = unit * Math.sqrt(powerRatioFromDb(ratioDb))
    const from = Math.round(atS * rateHz)
    const stopFrom = Math.round(ringS * rateHz)
    for (let at = 0; at < samples.length && from + at < sound.length; at++) {
      const stop = Math.max(0, Math.min(1, 1 - (at - stopFrom) / (stopS * rateHz)))
      sound[from + at] += gain * stop * (samples[at] ?? 0)
    }
  }
  const most = sound.reduce((so, value) => Math.max(so, Math.abs(value)), 0)
  return Float32Array.from(sound, (value) => (peak / most) * value)
}

/** What the page is to find of it: the pitch that it settles at, whatever its partials deviate by, and its stiffness. */
export function truthOf({ string, cents, ringS }: PlacedPluck, rateHz: number, seed: number) {
  const { settledHz, stiffness } = rendered(string, cents, ringS, rateHz, seed)
  return { settledHz, stiffness }
}

/** `unit` makes the mean square of its first second 1. */
function rendered(string: StudyString, cents: number, ringS: number, rateHz: number, seed: number) {
  const pluck = syntheticPluck(string, 0, hzFromCents(cents, string.targetHz))
  const durationS = Math.max(1.1, ringS + stopS)
  const scene = { sampleRateHz: rateHz, durationS, seed, plucks: [pluck], noises: [], room: null }
  const { samples, truth } = renderString(scene, new Map())
  const unit = 1 / Math.sqrt(meanSquareOfFirstSecond(samples, scene))
  return { samples, unit, settledHz: truth?.settledHz ?? Number.NaN, stiffness: pluck.stiffness }
}
