/**
 * A pluck from JSON: settings, what its kind of instrument adds to them, and lists of measured partials.
 */
import { z } from 'zod'
import { checked, type Field, fill } from '../fields.ts'
import { Problem } from '../problem.ts'
import { kindIds, kindPluckValues } from './kinds.ts'
import { type PartialLists, type Pluck, pluckFields } from './scene.ts'

const numbers = z.array(z.unknown()).min(1).optional()

/** Of PartialLists. */
export const listShapes = { partialLevelsDb: numbers, partialDecaysS: numbers, partialOffsetsCents: numbers }

export const pluckShape = z.looseObject({
  recording: z.string().min(1).optional(),
  kind: z.enum(kindIds).optional(),
  ...listShapes,
})

/** Limits of each number in a list of partials. */
const listFields = {
  partialLevelsDb: { default: 0, min: -200, max: 200, unit: 'dB', help: 'Amplitude of a partial at the onset.' },
  partialDecaysS: { default: 5, min: 0.005, max: 600, unit: 's', help: 'Time in which a partial falls by 60 dB.' },
  partialOffsetsCents: { default: 0, min: -50, max: 50, unit: 'c', help: 'How far a partial is off the law.' },
} as const satisfies Record<keyof PartialLists, Field>

export function parsePluck(given: z.infer<typeof pluckShape>, durationS: number, where: string): Pluck {
  const { recording, kind, partialLevelsDb, partialDecaysS, partialOffsetsCents, ...values } = given
  const lists = { partialLevelsDb, partialDecaysS, partialOffsetsCents }
  const parsed: Pluck =
    recording === undefined
      ? { ...filled(values, kind, where), ...parseLists(lists, where), ...(kind === undefined ? {} : { kind }) }
      : { ...fill({ onsetS: pluckFields.onsetS }, settingsOf(given), where), recording }
  if (parsed.onsetS >= durationS) {
    throw new Problem(`${parsed.onsetS} is not before the end of the take, ${durationS} s`, `${where}.onsetS`)
  }
  return parsed
}

function filled(values: Readonly<Record<string, unknown>>, kind: (typeof kindIds)[number] | undefined, where: string) {
  const plain = fill(pluckFields, values, where)
  if (kind === undefined) return plain
  return fill(pluckFields, { ...kindPluckValues(kind, plain.firstPartialHz), ...values }, where)
}

/** A recorded pluck takes no setting but its onset; whatever else was given is refused by name. */
function settingsOf({ recording: _, ...given }: z.infer<typeof pluckShape>): Record<string, unknown> {
  return given
}

/** @throws Problem for a number beyond its limits. */
export function parseLists(
  lists: Readonly<Partial<Record<keyof PartialLists, unknown[] | undefined>>>,
  where: string,
): PartialLists {
  return Object.fromEntries(
    Object.entries(lists)
      .filter(([, list]) => list !== undefined)
      .map(([name, list]) => [
        name,
        list?.map((value, k) => checked(value, listFields[name as keyof PartialLists], `${where}.${name}.${k}`)),
      ]),
  )
}
