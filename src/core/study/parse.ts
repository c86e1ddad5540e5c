/**
 * A study from JSON. Strings, rooms and methods may be named by id or written out; what is left out is the default.
 *
 * @example { "strings": ["E2"], "rooms": ["white"], "snrsDb": [0, 10], "repeats": 4, "methods": ["yin"] }
 */
import { z } from 'zod'
import { checked, type Field, fill } from '../fields.ts'
import { displayFields } from '../methods/displayed.ts'
import { methodById } from '../methods/index.ts'
import { Problem } from '../problem.ts'
import { bodyIds } from '../scene/body.ts'
import { kindIds } from '../scene/kinds.ts'
import { neighbourFields, neighbourStringFields } from '../scene/neighbours.ts'
import { noiseById } from '../scene/noises/index.ts'
import { levelField, parseAsRecorded, snrField, targetField } from '../scene/parse.ts'
import { listShapes, parseLists } from '../scene/parsepluck.ts'
import { pluckFields } from '../scene/scene.ts'
import { sensorById } from '../scene/sensors/index.ts'
import type { SensorChoice } from '../scene/sensors/sensor.ts'
import { shaped } from '../shape.ts'
import { roomById, stringById, studyDefaults } from './presets.ts'
import type { MethodChoice, Study, StudyRoom, StudyString } from './study.ts'
import { absentFields, claimFields, letGoField, studyFields } from './studyfields.ts'

const numbers = z.record(z.string(), z.unknown())
const stringShape = z.strictObject({
  id: z.string().min(1),
  targetHz: z.number(),
  pluck: numbers.optional(),
  recording: z.string().min(1).optional(),
  kind: z.enum(kindIds).optional(),
  partials: z.strictObject(listShapes).optional(),
  overStudyDb: z.number().optional(),
  neighbours: z.array(numbers).optional(),
})
const partShape = z.strictObject({
  id: z.string(),
  levelDb: z.number().optional(),
  values: numbers.optional(),
  recording: z.string().min(1).optional(),
  asRecorded: z.boolean().optional(),
})
const roomShape = z.strictObject({
  id: z.string().min(1),
  parts: z.array(partShape).min(1),
  variant: z.enum(['string', 'no-string', 'wrong-string']).optional(),
  sensor: z.union([z.string(), z.strictObject({ id: z.string(), values: numbers.optional() })]).optional(),
  body: z.enum(bodyIds).optional(),
  sympatheticDb: z.number().optional(),
  drivenDb: z.number().optional(),
  absolute: z.boolean().optional(),
})
const choiceShape = { id: z.string(), values: numbers.optional(), display: numbers.optional() }
const stageShape = z.strictObject({ ...choiceShape, letGoCents: z.number() })
const methodShape = z.strictObject({ ...choiceShape, after: z.array(stageShape).optional() })
const numbersNamed = (fields: Readonly<Record<string, Field>>) =>
  Object.fromEntries(Object.keys(fields).map((name) => [name, z.number().optional()]))
const studyShape = z.strictObject({
  id: z.string().min(1).optional(),
  ...numbersNamed(studyFields),
  ...numbersNamed(absentFields),
  strings: z.array(z.union([z.string(), stringShape])).min(1),
  rooms: z.array(z.union([z.string(), roomShape])).min(1),
  snrsDb: z.array(z.number()).min(1),
  methods: z.array(z.union([z.string(), methodShape])).min(1),
  claim: numbers.optional(),
  roomLearnt: z.boolean().optional(),
  untilClaim: z.literal(true).optional(),
  level: z.enum(['ratio', 'stage']).optional(),
  referenceString: z.string().optional(),
})

/** @throws Problem with the path of the value and its limit; unknown keys and ids are refused. */
export function parseStudy(json: unknown): Study {
  const given = shaped(studyShape, json)
  const named = Object.fromEntries(
    Object.keys(studyFields).map((name) => [name, (given as Record<string, unknown>)[name]]),
  )
  const values = fill(studyFields, named)
  const study: Study = {
    ...values,
    id: given.id ?? 'own',
    strings: given.strings.map((string, index) => parseString(string, `strings.${index}`)),
    rooms: given.rooms.map((room, index) => parseRoom(room, `rooms.${index}`)),
    snrsDb: given.snrsDb.map((snrDb, index) => checked(snrDb, snrField, `snrsDb.${index}`)),
    methods: given.methods.map((method, index) => parseMethod(method, `methods.${index}`)),
    claim: fill(claimFields, given.claim ?? {}, 'claim'),
    roomLearnt: given.roomLearnt ?? studyDefaults.roomLearnt,
    ...(given.untilClaim === undefined ? {} : { untilClaim: given.untilClaim }),
    ...(given.level === undefined ? {} : { level: given.level }),
    ...(given.referenceString === undefined ? {} : { referenceString: given.referenceString }),
    ...present(given),
  }
  refuseTwins(study)
  checkStage(study)
  if (study.highestHz <= study.lowestHz)
    throw new Problem(`${study.highestHz} Hz is not above lowestHz ${study.lowestHz} Hz`, 'highestHz')
  const leastS = study.leadS + study.claim.holdS
  if (study.takeS <= leastS)
    throw new Problem(`${study.takeS} s leaves no time for a claim: it must be above ${leastS} s`, 'takeS')
  return study
}

function present(given: Readonly<Record<string, unknown>>): { [name in keyof typeof absentFields]?: number } {
  const named = Object.entries<Field>(absentFields).filter(([name]) => given[name] !== undefined)
  return Object.fromEntries(named.map(([name, field]) => [name, checked(given[name], field, name)]))
}

function parseString(given: string | z.infer<typeof stringShape>, where: string): StudyString {
  if (typeof given === 'string') return stringById(given, where)
  const { onsetS: _onset, firstPartialHz: _pitch, ...fields } = pluckFields
  const { pluck = {}, partials, overStudyDb, recording, kind, neighbours } = given
  fill(fields, pluck, `${where}.pluck`)
  if (recording !== undefined && kind !== undefined)
    throw new Problem('a recorded string has no use for it: it sounds as it was recorded', `${where}.kind`)
  return {
    id: given.id,
    targetHz: checked(given.targetHz, targetField, `${where}.targetHz`),
    pluck: pluck as Record<string, number>,
    ...(partials === undefined ? {} : { partials: parseLists(partials, `${where}.partials`) }),
    ...(overStudyDb === undefined ? {} : { overStudyDb: checked(overStudyDb, snrField, `${where}.overStudyDb`) }),
    ...(recording === undefined ? {} : { recording }),
    ...(kind === undefined ? {} : { kind }),
    ...(neighbours === undefined
      ? {}
      : {
          neighbours: neighbours.map((other, at) => fill(neighbourStringFields, other, `${where}.neighbours.${at}`)),
        }),
  }
}

function parseRoom(given: string | z.infer<typeof roomShape>, where: string): StudyRoom {
  if (typeof given === 'string') return roomById(given, where)
  const parts = given.parts.map((part, index) => {
    const path = `${where}.parts.${index}`
    const noise = noiseById(part.id, `${path}.id`)
    const values = part.values ?? {}
    fill(noise.fields, values, `${path}.values`)
    return {
      id: part.id,
      levelDb: checked(part.levelDb ?? 0, levelField, `${path}.levelDb`),
      values: values as Record<string, number>,
      ...(part.recording === undefined ? {} : { recording: part.recording }),
      ...parseAsRecorded(part.asRecorded, part.id, `${path}.asRecorded`),
    }
  })
  const { id, variant = 'string', sensor, body, sympatheticDb, drivenDb, absolute } = given
  return {
    ...{ id, parts, variant },
    ...(sensor === undefined ? {} : { sensor: parseSensor(sensor, `${where}.sensor`) }),
    ...(body === undefined ? {} : { body }),
    ...(sympatheticDb === undefined ? {} : { sympatheticDb: ringing(sympatheticDb, 'sympatheticDb', where) }),
    ...(drivenDb === undefined ? {} : { drivenDb: ringing(drivenDb, 'drivenDb', where) }),
    ...(absolute === undefined ? {} : { absolute }),
  }
}

const ringing = (value: number, name: 'sympatheticDb' | 'drivenDb', where: string): number =>
  checked(value, neighbourFields[name], `${where}.${name}`)

function parseSensor(given: NonNullable<z.infer<typeof roomShape>['sensor']>, where: string): SensorChoice {
  const { id, values = {} } = typeof given === 'string' ? { id: given } : given
  const sensor = sensorById(id, typeof given === 'string' ? where : `${where}.id`)
  fill(sensor.fields, values, `${where}.values`)
  return { id, values: values as Record<string, number> }
}

function parseMethod(given: string | z.infer<typeof methodShape>, where: string): MethodChoice {
  if (typeof given === 'string') return { id: methodById(given, where).id, values: {} }
  const { after = [], ...last } = given
  const chosen = parseChoice(last, where)
  if (after.length === 0) return chosen
  const stages = after.map(({ letGoCents, ...stage }, at) => {
    const path = `${where}.after.${at}`
    return { ...parseChoice(stage, path), letGoCents: checked(letGoCents, letGoField, `${path}.letGoCents`) }
  })
  const told = stages.find(({ id }) => methodById(id).family === 'aimed')
  if (told !== undefined && methodById(chosen.id).family !== 'aimed')
    throw new Problem(
      `is blind, but ${told.id} before it is told the note: a chain ends in an aimed method then`,
      where,
    )
  return { ...chosen, after: stages }
}

function parseChoice(
  { id, values = {}, display }: z.infer<z.ZodObject<typeof choiceShape>>,
  where: string,
): Omit<MethodChoice, 'after'> {
  const method = methodById(id, `${where}.id`)
  fill(method.fields, values, `${where}.values`)
  return {
    id,
    values: values as Record<string, number>,
    // Written out: a display is told apart by all it does, and its defaults are no preference of anybody.
    ...(display === undefined ? {} : { display: fill(displayFields, display, `${where}.display`) }),
  }
}

function checkStage({ level, strings, referenceString }: Study): void {
  if (referenceString !== undefined && !strings.some(({ id }) => id === referenceString)) {
    const known = strings.map(({ id }) => id).join(', ')
    throw new Problem(`no string "${referenceString}" in this study; it has ${known}`, 'referenceString')
  }
  const recorded = strings.findIndex(({ recording }) => recording !== undefined)
  if (level === 'stage' && recorded >= 0) {
    throw new Problem(
      'is recorded: how hard it was plucked is not known, so it has no fixed stage',
      `strings.${recorded}`,
    )
  }
}

/** Two of a name would fall into one cell of the summary. */
function refuseTwins(study: Study): void {
  const ids = (list: readonly { readonly id: string }[]): readonly string[] => list.map((entry) => entry.id)
  const lists: Readonly<Record<string, readonly (string | number)[]>> = {
    strings: ids(study.strings),
    rooms: ids(study.rooms),
    snrsDb: study.snrsDb,
    // The same method with other settings, or behind another display, is another method.
    methods: study.methods.map(({ id, values, display, after }) =>
      [
        id,
        ...[values, display ?? {}, after ?? []]
          .filter((part) => Object.keys(part).length > 0)
          .map((part) => JSON.stringify(part)),
      ].join(' '),
    ),
  }
  for (const [name, list] of Object.entries(lists)) {
    const twin = list.findIndex((id, index) => list.indexOf(id) < index)
    if (twin >= 0) throw new Problem(`${list[twin]} stands there already`, `${name}.${twin}`)
  }
}
