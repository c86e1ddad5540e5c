/**
 * An exercise as data: what is tuned, how far off it starts, in what noise, by which methods, and what is asked of the person.
 *
 * Strings are numbered from 1, the first (highest), as on the instrument; they are worked through in the order given. The last of
 * the methods is the one that confirms. Rooms heard through a sensor are refused: a string that is being turned while it
 * sounds cannot be put through one.
 */
import { z } from 'zod'
import { checked, type Field, type Fields, fill } from '../fields.ts'
import { instrumentFigures } from '../instruments/figures.ts'
import { instrumentById } from '../instruments/podium.ts'
import { displayed, displayFields } from '../methods/displayed.ts'
import { methodById } from '../methods/index.ts'
import { workFields } from '../plan/hand.ts'
import { Problem, problemWithin } from '../problem.ts'
import { shaped } from '../shape.ts'
import { roomById } from '../study/presets.ts'
import type { MethodChoice, StudyRoom } from '../study/study.ts'

/** Numbers of an exercise with their limits; forms and checks come from it. */
export const exerciseFields = {
  startFromCents: { default: 10, min: 0, max: 140, unit: 'c', help: 'How far off a string starts at least.' },
  startToCents: { default: 30, min: 1, max: 140, unit: 'c', help: 'How far off a string starts at most.' },
  snrDb: { default: 20, min: -20, max: 60, unit: 'dB', help: 'String over room in the first second after a pluck.' },
  toleranceCents: { default: 3, min: 0.5, max: 20, unit: 'c', help: 'No string may be left farther off.' },
  clockS: { default: 0, min: 0, max: 600, unit: 's', help: 'When the work is stopped; 0: never.' },
  backlashDeg: { default: 0, min: 0, max: 40, unit: 'deg', help: 'Play of the pegs where the way is reversed.' },
  slackCents: {
    default: 0,
    min: 0,
    max: 20,
    unit: 'c',
    help: 'What a string that was last let down gives way once it is let go.',
  },
  coupling: { ...workFields.coupling, max: 0.1 },
  bridgeNPerMm: workFields.bridgeNPerMm,
  morePasses: { ...workFields.morePasses, default: 0, max: 8 },
  passS: { default: 8, min: 0, max: 120, unit: 's', help: 'How far behind the best way an attempt may end and pass.' },
} as const satisfies Fields

const letGoField: Field = {
  default: 2,
  min: 0.3,
  max: 20,
  unit: 'c',
  help: 'Within this of its note a string is let go.',
}

const display = z.strictObject({
  averagingMs: z.number().optional(),
  updateHz: z.number().optional(),
  inRangeCents: z.number().optional(),
  gateDb: z.number().optional(),
})

const methodShape = z.strictObject({
  id: z.string(),
  values: z.record(z.string(), z.number()).optional(),
  display: display.optional(),
  letGoCents: z.number(),
})

const exerciseShape = z.strictObject({
  schema: z.literal(1),
  id: z.string().regex(/^[a-z0-9]+(-[a-z0-9]+)*$/),
  title: z.string().min(1).max(80),
  task: z.string().max(400),
  sets: z
    .array(z.strictObject({ instrument: z.string(), strings: z.array(z.number().int().min(1)).min(1).max(12) }))
    .min(1)
    .max(2),
  startSide: z.enum(['flat', 'sharp', 'both']).optional(),
  room: z.string(),
  bridge: z.enum(['fixed', 'floating']).optional(),
  /** A claim counts only on a pluck made after the last turn. */
  confirmPluck: z.boolean().optional(),
  /** Every string is plucked once more when all of its instrument were in tune. */
  check: z.boolean().optional(),
  methods: z.array(methodShape).min(1).max(2),
  /** The way that attempts are measured by; absent: the best of the usual ones on the same seed. */
  stages: z
    .array(
      z.strictObject({
        method: z.number().int().min(0).max(1),
        letGoCents: z.number(),
        handOver: z.enum(['confirm', 'turn-once']),
      }),
    )
    .min(1)
    .max(3)
    .optional(),
  ...Object.fromEntries(Object.keys(exerciseFields).map((name) => [name, z.number().optional()])),
})

type ExerciseNumbers = { readonly [K in keyof typeof exerciseFields]: number }

export interface DrillMethod extends MethodChoice {
  /** Within this the string is let go when this method reads it. */
  readonly letGoCents: number
}

export interface DrillStage {
  readonly method: number
  readonly letGoCents: number
  readonly handOver: 'confirm' | 'turn-once'
}

export interface Exercise extends ExerciseNumbers {
  readonly schema: 1
  readonly id: string
  readonly title: string
  /** What to do, in a sentence or two. */
  readonly task: string
  /** One instrument, or two that follow each other. */
  readonly sets: readonly { readonly instrument: string; readonly strings: readonly number[] }[]
  readonly startSide: 'flat' | 'sharp' | 'both'
  /** Id of a named room. */
  readonly room: string
  readonly bridge: 'fixed' | 'floating'
  readonly confirmPluck: boolean
  readonly check: boolean
  /** Rough first; the last one confirms. */
  readonly methods: readonly DrillMethod[]
  readonly stages: readonly DrillStage[] | null
}

/** @throws Problem naming field, value and limit. */
export function parseExercise(json: unknown): Exercise {
  const given = shaped(exerciseShape, json) as z.infer<typeof exerciseShape> & Record<string, unknown>
  const numbers = fill(
    exerciseFields,
    Object.fromEntries(Object.keys(exerciseFields).map((name) => [name, given[name]])),
  )
  if (numbers.startToCents < numbers.startFromCents)
    throw new Problem(`${numbers.startToCents} is below startFromCents, ${numbers.startFromCents} c`, 'startToCents')
  for (const [at, set] of given.sets.entries()) checkSet(set, `sets.${at}`)
  drillRoom(given.room)
  const methods = given.methods.map((method, at) => methodOf(method, `methods.${at}`))
  const last = methods.length - 1
  if (methods[last].letGoCents > numbers.toleranceCents)
    throw new Problem(
      `${methods[last].letGoCents} is above the tolerance, ${numbers.toleranceCents} c`,
      `methods.${last}.letGoCents`,
    )
  const stages = given.stages ?? null
  if (stages !== null) checkStages(stages, methods)
  return {
    schema: 1,
    ...{ id: given.id, title: given.title, task: given.task, sets: given.sets, room: given.room },
    ...{ startSide: given.startSide ?? 'both', bridge: given.bridge ?? 'fixed' },
    ...{ confirmPluck: given.confirmPluck ?? false, check: given.check ?? false },
    ...{ methods, stages },
    ...numbers,
  }
}

function checkSet({ instrument, strings }: Exercise['sets'][number], where: string): void {
  const { length } = instrumentFigures(instrumentById(instrument, `${where}.instrument`)).strings
  for (const [at, number] of strings.entries()) {
    if (number > length) throw new Problem(`${number} is above ${length}, its strings`, `${where}.strings.${at}`)
    if (strings.indexOf(number) !== at) throw new Problem(`${number} stands there twice`, `${where}.strings.${at}`)
  }
}

/** @throws Problem for a room that nobody knows, or one that is heard through a sensor. */
export function drillRoom(id: string): StudyRoom {
  const room = roomById(id, 'room')
  if (room.sensor !== undefined || room.body !== undefined || room.drivenDb !== undefined || room.variant !== 'string')
    throw new Problem(
      `${id} needs a sensor, a body or strings ringing along: a string that is turned while it sounds has none`,
      'room',
    )
  return room
}

function methodOf(given: z.infer<typeof methodShape>, where: string): DrillMethod {
  const { id, values = {}, display: shown, letGoCents } = given
  try {
    const method = methodById(id, 'id')
    fill(method.fields, values, 'values')
    if (shown !== undefined) displayed(method, shown)
    checked(letGoCents, letGoField, 'letGoCents')
  } catch (error) {
    throw error instanceof Problem ? problemWithin(where, error) : error
  }
  return { id, values, letGoCents, ...(shown === undefined ? {} : { display: fill(displayFields, shown) }) }
}

function checkStages(stages: readonly DrillStage[], methods: readonly DrillMethod[]): void {
  for (const [at, { method, letGoCents }] of stages.entries()) {
    if (method >= methods.length)
      throw new Problem(`${method} is above ${methods.length - 1}, the last method`, `stages.${at}.method`)
    checked(letGoCents, letGoField, `stages.${at}.letGoCents`)
  }
  const last = stages[stages.length - 1]
  const confirming = methods.length - 1
  if (last.method !== confirming || last.handOver !== 'confirm' || last.letGoCents > methods[confirming].letGoCents)
    throw new Problem('the last stage confirms by the last method, inside its let-go', `stages.${stages.length - 1}`)
}
