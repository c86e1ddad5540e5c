/**
 * A scene from JSON and back. Structure is checked by zod, numbers by their fields; what is not known is refused.
 *
 * @example { "sampleRateHz": 48000, "durationS": 2.5, "seed": 1, "plucks": [{ "onsetS": 0.2, "firstPartialHz": 110 }],
 *   "noises": [{ "id": "pink", "snrDb": 10 }] }
 */
import { z } from 'zod'
import { checked, type Field, fill } from '../fields.ts'
import { Problem } from '../problem.ts'
import { shaped } from '../shape.ts'
import { type BodyChoice, bodyFields, bodyIds } from './body.ts'
import { kindIds, kindNeighbourValues } from './kinds.ts'
import { type Neighbours, neighbourFields, neighbourStringFields } from './neighbours.ts'
import { noiseById } from './noises/index.ts'
import { parsePluck, pluckShape } from './parsepluck.ts'
import type { NoiseChoice, RoomPart, Scene } from './scene.ts'
import { sensorById } from './sensors/index.ts'
import type { SensorChoice } from './sensors/sensor.ts'

export const sceneFields = {
  sampleRateHz: { default: 48000, min: 8000, max: 192000, unit: 'Hz', whole: true, help: 'Sample rate of the take.' },
  durationS: { default: 2.5, min: 0.05, max: 600, unit: 's', help: 'Length of the take.' },
  // 2^32 - 1: seeds are 32-bit words, exact in JSON.
  seed: { default: 1, min: 0, max: 4294967295, unit: 'count', whole: true, help: 'Seed of every draw.' },
} as const satisfies Record<string, Field>

/** 10 lg of mean squares, string side over noise. */
export const snrField: Field = {
  default: 10,
  min: -60,
  max: 120,
  unit: 'dB',
  help: 'String over noise in the first second.',
}
export const levelField: Field = { default: 0, min: -120, max: 120, unit: 'dB', help: 'Weight of a noise in its room.' }

export const targetField: Field = { default: 110, min: 15, max: 5000, unit: 'Hz', help: 'The note in hand.' }

const noiseShape = z.looseObject({ id: z.string(), recording: z.string().min(1).optional() })
const bodyShape = z.union([z.enum(bodyIds), z.looseObject({ id: z.enum(bodyIds) })])
const neighboursShape = z.looseObject({
  strings: z.array(z.looseObject({})),
  damped: z.boolean().optional(),
  kind: z.enum(kindIds).optional(),
})
const sensorShape = z.looseObject({ id: z.string() })
const sceneShape = z.strictObject({
  sampleRateHz: z.unknown().optional(),
  durationS: z.unknown().optional(),
  seed: z.unknown().optional(),
  plucks: z.array(pluckShape),
  noises: z.array(noiseShape).optional(),
  room: z.strictObject({ parts: z.array(noiseShape), snrDb: z.unknown().optional() }).nullish(),
  noString: z.boolean().optional(),
  targetHz: z.unknown().optional(),
  stringSeed: z.unknown().optional(),
  attackSeed: z.unknown().optional(),
  body: bodyShape.optional(),
  neighbours: neighboursShape.optional(),
  sensor: sensorShape.optional(),
})
type NoiseJson = z.infer<typeof noiseShape>

/** All fields filled. @throws Problem with path, value and limit; the first of several faults. */
export function parseScene(json: unknown): Scene {
  const read = shaped(sceneShape, json)
  const {
    plucks,
    noises = [],
    room,
    noString = false,
    targetHz,
    stringSeed,
    attackSeed,
    body,
    neighbours,
    sensor,
    ...given
  } = read
  const values = fill(sceneFields, given)
  if (plucks.length === 0) {
    throw new Problem(
      'there is none; a take without a string still needs one to set its level (noString: true)',
      'plucks',
    )
  }
  return {
    ...values,
    plucks: plucks.map((pluck, index) => parsePluck(pluck, values.durationS, `plucks.${index}`)),
    noises: noises.map((noise, index) => {
      const where = `noises.${index}`
      const { snrDb, ...rest } = noise
      return { ...parseNoise(rest, where), snrDb: required(snrDb, snrField, `${where}.snrDb`) }
    }),
    room: room == null ? null : parseRoom(room.parts, room.snrDb),
    noString,
    ...(targetHz === undefined ? {} : { targetHz: checked(targetHz, targetField, 'targetHz') }),
    ...(stringSeed === undefined ? {} : { stringSeed: checked(stringSeed, sceneFields.seed, 'stringSeed') }),
    ...(attackSeed === undefined ? {} : { attackSeed: checked(attackSeed, sceneFields.seed, 'attackSeed') }),
    ...(body === undefined ? {} : { body: parseBody(body) }),
    ...(neighbours === undefined ? {} : { neighbours: parseNeighbours(neighbours) }),
    ...(sensor === undefined ? {} : { sensor: parseSensor(sensor) }),
  }
}

function parseBody(given: z.infer<typeof bodyShape>): BodyChoice {
  const { id, ...values } = typeof given === 'string' ? { id: given } : given
  return { id, ...fill(bodyFields, values, 'body') }
}

function parseNeighbours({ strings, damped = false, kind, ...given }: z.infer<typeof neighboursShape>): Neighbours {
  return {
    ...fill(neighbourFields, { ...(kind === undefined ? {} : kindNeighbourValues(kind)), ...given }, 'neighbours'),
    strings: strings.map((string, index) => fill(neighbourStringFields, string, `neighbours.strings.${index}`)),
    damped,
  }
}

function parseSensor({ id, ...given }: z.infer<typeof sensorShape>): SensorChoice {
  return { id, values: fill(sensorById(id, 'sensor.id').fields, given, 'sensor') }
}

function parseRoom(parts: readonly NoiseJson[], snrDb: unknown): Scene['room'] {
  if (parts.length === 0) throw new Problem('there is none', 'room.parts')
  return {
    parts: parts.map((part, index): RoomPart => {
      const where = `room.parts.${index}`
      const { levelDb = levelField.default, asRecorded, ...rest } = part
      return {
        ...parseNoise(rest, where),
        levelDb: checked(levelDb, levelField, `${where}.levelDb`),
        ...parseAsRecorded(asRecorded, rest.id, `${where}.asRecorded`),
      }
    }),
    snrDb: required(snrDb, snrField, 'room.snrDb'),
  }
}

/** @throws Problem for anything but absent or true, and for a noise that plays no recording. */
export function parseAsRecorded(given: unknown, id: string, where: string): Pick<RoomPart, 'asRecorded'> {
  if (given === undefined) return {}
  if (given !== true) throw new Problem('is neither absent nor true', where)
  if (noiseById(id, where).recorded !== true) throw new Problem(`${id} plays no recording`, where)
  return { asRecorded: true }
}

function parseNoise({ id, recording, ...given }: NoiseJson, where: string): NoiseChoice {
  const noise = noiseById(id, `${where}.id`)
  const values = fill(noise.fields, given, where)
  if (noise.recorded && recording === undefined) throw new Problem('is missing', `${where}.recording`)
  if (!noise.recorded && recording !== undefined) throw new Problem(`${id} plays no recording`, `${where}.recording`)
  return { id, values, ...(recording === undefined ? {} : { recording }) }
}

function required(value: unknown, field: Field, where: string): number {
  if (value === undefined) throw new Problem('is missing', where)
  return checked(value, field, where)
}

/** JSON that `parseScene` reads back as the same scene. A string that sounds for ever has no `decayS`. */
export function sceneJson(scene: Scene): Record<string, unknown> {
  const { plucks, noises, room, noString, neighbours, sensor, ...values } = scene
  return {
    ...values,
    plucks: plucks.map(finite),
    ...(neighbours === undefined ? {} : { neighbours: finite(neighbours) }),
    ...(sensor === undefined ? {} : { sensor: { id: sensor.id, ...sensor.values } }),
    noises: noises.map(({ snrDb, ...noise }) => ({ ...noiseJson(noise), snrDb })),
    ...(room === null
      ? {}
      : {
          room: {
            parts: room.parts.map(({ levelDb, asRecorded, ...part }) => ({
              ...noiseJson(part),
              levelDb,
              ...(asRecorded === undefined ? {} : { asRecorded }),
            })),
            snrDb: room.snrDb,
          },
        }),
    ...(noString ? { noString } : {}),
  }
}

/** JSON has no infinity, which is what stands for "no such effect" here. */
const finite = (values: object): Record<string, unknown> =>
  Object.fromEntries(Object.entries(values).filter(([, value]) => typeof value !== 'number' || Number.isFinite(value)))

const noiseJson = ({ id, values, recording }: NoiseChoice): Record<string, unknown> => ({
  id,
  ...values,
  ...(recording === undefined ? {} : { recording }),
})
