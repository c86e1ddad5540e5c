/**
 * Instruments from JSON. Structure by zod, numbers by their fields; what is left out is the default of the kind.
 *
 * @example { "schema": 1, "instruments": [{ "id": "mine", "kind": "electric", "gauges": "10-46", "tuning": "standard" }] }
 */
import { z } from 'zod'
import { checked, type Field } from '../fields.ts'
import { hzFromCents } from '../maths/units.ts'
import { Problem, problemWithin } from '../problem.ts'
import { shaped } from '../shape.ts'
import { stringMakes } from './gauges.ts'
import {
  type Capo,
  capoFields,
  type Gauges,
  gaugeFields,
  type Instrument,
  type InstrumentField,
  instrumentFields,
  instrumentKinds,
  kindDefaults,
  noteField,
  pegFields,
} from './instrument.ts'
import { noteHz, tuningNotes } from './tunings.ts'

const gaugesShape = z.strictObject({
  materials: z.strictObject({ plain: z.string(), core: z.string(), wrap: z.string() }),
  strings: z
    .array(z.strictObject({ diameterIn: z.number(), coreIn: z.number().optional() }))
    .min(1)
    .max(24),
})

const capoShape = z.strictObject({
  fret: z.number(),
  shiftCents: z.number().optional(),
  tuned: z.enum(['capo-on', 'capo-off']),
})

const pegShape = z.strictObject({
  ratio: z.number().optional(),
  postMm: z.number().optional(),
  beyondMm: z.number().optional(),
})

const instrumentShape = z.strictObject({
  id: z.string().regex(/^[a-z0-9]+(-[a-z0-9]+)*$/, 'takes small letters, digits and single hyphens'),
  title: z.string().optional(),
  player: z.string().optional(),
  kind: z.enum(instrumentKinds, `is none of ${instrumentKinds.join(', ')}`),
  scaleMm: z.number().optional(),
  gauges: z.union([z.string(), gaugesShape]),
  tuning: z.union([z.string(), z.array(z.string()).min(1).max(24)]),
  referenceHz: z.number().optional(),
  capo: capoShape.nullable().optional(),
  toleranceCents: z.number().optional(),
  peg: pegShape.optional(),
  notes: z.string().optional(),
})

const fileShape = z.strictObject({
  schema: z.literal(1, 'is not 1, the only schema known here'),
  title: z.string().optional(),
  note: z.string().optional(),
  instruments: z.array(z.unknown()),
})

/**
 * A file of instruments: `{ "schema": 1, "instruments": [...] }`, as `instrumentsJson` writes it.
 * @throws Problem with path, value and limit; unknown keys and ids and ids that stand twice are refused.
 */
export function parseInstruments(json: unknown): Instrument[] {
  const instruments = shaped(fileShape, json).instruments.map((entry, index) =>
    parseInstrument(entry, `instruments.${index}`),
  )
  instruments.forEach((instrument, index) => {
    if (instruments.findIndex(({ id }) => id === instrument.id) !== index)
      throw new Problem(`the id "${instrument.id}" stands twice`, `instruments.${index}.id`)
  })
  return instruments
}

export const instrumentsJson = (instruments: readonly Instrument[]): unknown => ({ schema: 1, instruments })

/** One instrument, all but peg and capo shift filled. @throws Problem as `parseInstruments`. */
export function parseInstrument(json: unknown, where = ''): Instrument {
  const path = (name: string): string => (where === '' ? name : `${where}.${name}`)
  const given = within(where, () => shaped(instrumentShape, json))
  const defaults = kindDefaults[given.kind]
  const instrument: Instrument = {
    id: given.id,
    title: given.title ?? given.id,
    player: given.player ?? '',
    kind: given.kind,
    scaleMm: limited(given.scaleMm ?? defaults.scaleMm, instrumentFields.scaleMm, path('scaleMm')),
    gauges: typeof given.gauges === 'string' ? given.gauges : parseGauges(given.gauges, path('gauges')),
    tuning: given.tuning,
    referenceHz: limited(
      given.referenceHz ?? instrumentFields.referenceHz.default,
      instrumentFields.referenceHz,
      path('referenceHz'),
    ),
    capo: given.capo ? parseCapo(given.capo, path('capo')) : null,
    toleranceCents: limited(
      given.toleranceCents ?? defaults.toleranceCents,
      instrumentFields.toleranceCents,
      path('toleranceCents'),
    ),
    peg: limitedEach(given.peg ?? {}, pegFields, path('peg')),
    notes: given.notes ?? '',
  }
  checkStrings(instrument, path)
  return instrument
}

function parseGauges(given: z.infer<typeof gaugesShape>, where: string): Gauges {
  return {
    materials: given.materials,
    strings: given.strings.map((gauge, index) => {
      const { diameterIn, coreIn } = limitedEach(gauge, gaugeFields, `${where}.strings.${index}`)
      return { diameterIn: diameterIn ?? Number.NaN, ...(coreIn === undefined ? {} : { coreIn }) }
    }),
  }
}

function parseCapo(given: z.infer<typeof capoShape>, where: string): Capo {
  const { fret, shiftCents } = limitedEach(given, capoFields, where)
  return {
    fret: fret ?? Number.NaN,
    ...(shiftCents === undefined ? {} : { shiftCents }),
    tuned: given.tuned,
  }
}

function checkStrings(instrument: Instrument, path: (name: string) => string): void {
  const makes = stringMakes(instrument.gauges, path('gauges'))
  const notes = tuningNotes(instrument.tuning, path('tuning'))
  if (notes.length !== makes.length)
    throw new Problem(`${notes.length} notes do not fit ${makes.length} strings`, path('tuning'))
  const frets = instrument.capo?.fret ?? 0
  notes.forEach((note, index) => {
    const where = typeof instrument.tuning === 'string' ? path('tuning') : path(`tuning.${index}`)
    const hz = noteHz(note, instrument.referenceHz)
    if (Number.isNaN(hz)) throw new Problem(`"${note}" is no note such as E2, Bb1 or F#3`, where)
    limited(hz, noteField, where)
    limited(hzFromCents(100 * frets, hz), noteField, where)
  })
}

/** The check of every setting; its sentence prints whatever unit the field has. */
const limited = (value: unknown, field: InstrumentField, where: string): number => checked(value, field as Field, where)

/** Those of `fields` that `given` holds, checked; the others stay out. */
function limitedEach<F extends Readonly<Record<string, InstrumentField>>>(
  given: object,
  fields: F,
  where: string,
): { [K in keyof F]?: number } {
  const values: { [K in keyof F]?: number } = {}
  for (const name of Object.keys(fields) as (keyof F & string)[]) {
    const value: unknown = Reflect.get(given, name)
    if (value !== undefined) values[name] = limited(value, fields[name], `${where}.${name}`)
  }
  return values
}

function within<T>(prefix: string, read: () => T): T {
  try {
    return read()
  } catch (error) {
    throw error instanceof Problem && prefix !== '' ? problemWithin(prefix, error) : error
  }
}
