/** Takes for tests of the room's figures: a pluck, and two stretches of one room at a level that is known exactly. */
import { randomStream } from '../../src/core/maths/random.ts'
import { hzFromCents, powerRatioFromDb } from '../../src/core/maths/units.ts'
import type { RoomString } from '../../src/core/room/roomstring.ts'
import { meanSquareOfFirstSecond, renderString } from '../../src/core/scene/render.ts'
import { fillParts } from '../../src/core/scene/room.ts'
import type { Partial, RoomPart } from '../../src/core/scene/scene.ts'
import { roomById, stringById } from '../../src/core/study/presets.ts'
import { syntheticPluck } from '../../src/core/study/stringpluck.ts'

export const guitar = ['E2', 'A2', 'D3', 'G3', 'B3', 'E4'] as const
export const bass = ['E1', 'A1', 'D2', 'G2'] as const

export function roomStrings(ids: readonly string[]): RoomString[] {
  return ids.map((id) => {
    const { targetHz, pluck } = stringById(id)
    return { id, title: id, targetHz, stiffness: Number(pluck.stiffness ?? 0) }
  })
}

/** The parts of a named room, at mean square 1. */
export function roomNoise(room: string, seconds: number, rateHz: number, seed: number, ...names: (string | number)[]) {
  return partsNoise(roomById(room).parts, seconds, rateHz, seed, room, ...names)
}

export function partsNoise(
  parts: readonly RoomPart[],
  seconds: number,
  rateHz: number,
  seed: number,
  ...names: (string | number)[]
): Float64Array {
  const target = new Float64Array(Math.round(seconds * rateHz))
  const random = randomStream(seed, 'room', ...names)
  const where = parts.map(() => '')
  fillParts(target, parts, { sampleRateHz: rateHz, random, pluck: null, onsetS: 0, recordings: new Map(), where })
  let squares = 0
  for (const value of target) squares += value * value
  const gain = 1 / Math.sqrt(squares / target.length)
  return target.map((value) => gain * value)
}

export interface TakeWish {
  readonly string: string
  readonly room: string
  /** String's first second over the room's long mean. */
  readonly snrDb: number
  readonly cents?: number
  readonly seed: number
  readonly repeat?: number
  readonly rateHz?: number
  readonly noiseS?: number
  readonly takeS?: number
  readonly onsetS?: number
  readonly pluck?: Readonly<Record<string, number>>
}

export interface MadeTake {
  readonly rateHz: number
  readonly noise: Float32Array
  readonly samples: Float32Array
  readonly clean: Float32Array
  readonly onsetS: number
  readonly f1Hz: number
  readonly stiffness: number
  readonly partials: readonly Partial[]
}

export function makeTake(wish: TakeWish): MadeTake {
  const { string, room, snrDb, cents = 0, seed, repeat = 0, rateHz = 48000 } = wish
  const { noiseS = 5, takeS = 2.6, onsetS = 0.5, pluck = {} } = wish
  const known = stringById(string)
  const played = syntheticPluck(
    { ...known, pluck: { ...known.pluck, glideCents: 0, ...pluck } },
    onsetS,
    hzFromCents(cents, known.targetHz),
  )
  const stringSeed = randomStream(seed, 'string', string, repeat).whole(2 ** 32)
  const scene = { sampleRateHz: rateHz, durationS: takeS, seed: stringSeed, plucks: [played], noises: [], room: null }
  const rendered = renderString(scene, new Map())
  const power = meanSquareOfFirstSecond(rendered.samples, scene) / powerRatioFromDb(snrDb)
  const all = roomNoise(room, noiseS + takeS, rateHz, seed, string, snrDb, repeat)
  const gain = Math.sqrt(power)
  const cut = Math.round(noiseS * rateHz)
  return {
    rateHz,
    noise: Float32Array.from(all.subarray(0, cut), (value) => gain * value),
    samples: rendered.samples.map((value, i) => value + gain * (all[cut + i] ?? 0)),
    clean: rendered.samples,
    onsetS,
    f1Hz: rendered.truth?.settledHz ?? Number.NaN,
    stiffness: played.stiffness,
    partials: rendered.partials,
  }
}
