/**
 * Studies by name, put together from the strings and rooms of signals/.
 *
 * `first` is what the page computes on its first load, so it must be done within seconds; `quick` compares outside
 * implementations with ours; `standard` is the grid to quote from; `field` hears every method once over quick's cells; `plan` is
 * what a plan is made from.
 */
import roomList from '../../../signals/rooms.json'
import stringList from '../../../signals/strings.json'
import { methods } from '../methods/index.ts'
import { Problem } from '../problem.ts'
import { type PlanStudyWish, planOutline } from './planstudy.ts'
import type { MethodChoice, Study, StudyRoom, StudyString, Variant } from './study.ts'

export const knownStrings: readonly (StudyString & { readonly title: string })[] = stringList.strings.map((string) => ({
  id: string.id,
  title: string.title,
  targetHz: string.targetHz,
  pluck: string.pluck,
}))

export type KnownRoom = Omit<StudyRoom, 'variant'> & { readonly title: string }

export const knownRooms: readonly KnownRoom[] = (roomList.rooms as readonly KnownRoom[]).map(
  // What stands in the file for readers only is left out.
  ({ id, title, parts, sensor, body, sympatheticDb, drivenDb, absolute }) => ({
    ...{ id, title, parts },
    ...(sensor === undefined ? {} : { sensor }),
    ...(body === undefined ? {} : { body }),
    ...(sympatheticDb === undefined ? {} : { sympatheticDb }),
    ...(drivenDb === undefined ? {} : { drivenDb }),
    ...(absolute === undefined ? {} : { absolute }),
  }),
)

/** @throws Problem that lists the known ids. */
export function stringById(id: string, where = 'strings'): StudyString {
  const found = knownStrings.find((string) => string.id === id)
  if (found === undefined) {
    throw new Problem(`no string "${id}"; known are ${knownStrings.map((string) => string.id).join(', ')}`, where)
  }
  return { id: found.id, targetHz: found.targetHz, pluck: found.pluck }
}

const variants: readonly Variant[] = ['no-string', 'wrong-string']

/** `stage`, or `stage/no-string` and `stage/wrong-string` for what may sound instead. @throws Problem that lists the known ids. */
export function roomById(id: string, where = 'rooms'): StudyRoom {
  const [name, suffix] = id.split('/')
  const found = knownRooms.find((room) => room.id === name)
  const variant = suffix === undefined ? 'string' : variants.find((known) => known === suffix)
  if (found === undefined || variant === undefined || id.split('/').length > 2) {
    const known = knownRooms.map((room) => room.id).join(', ')
    throw new Problem(
      `no room "${id}"; known are ${known}, each also with /no-string or /wrong-string behind it`,
      where,
    )
  }
  const { title: _title, ...room } = found
  return { ...room, id, variant }
}

const choices = (...ids: readonly string[]): MethodChoice[] => ids.map((id) => ({ id, values: {} }))

/** Slow outside methods are heard at a hop they can nearly keep up with: 2048 samples. */
const slow = (...ids: readonly string[]): MethodChoice[] => ids.map((id) => ({ id, values: { hop: 2048 } }))

/** Everything a study needs that its preset does not say. */
export const studyDefaults = {
  seed: 1,
  sampleRateHz: 48000,
  takeS: 1.5,
  // Long enough for a hold (0.25 s) to be completed before the pluck, so that premature claims can be seen.
  leadS: 0.5,
  detuneCents: 30,
  claim: { spanCents: 6, holdS: 0.25, tolCents: 5 },
  roomLearnt: true,
  // Below the low B of a bass (30.9 Hz) and above the 24th fret of a guitar's first string (1319 Hz).
  lowestHz: 30,
  highestHz: 1400,
} as const

interface Outline {
  readonly strings: readonly string[]
  readonly rooms: readonly string[]
  readonly snrsDb: readonly number[]
  readonly repeats: number
  readonly methods: readonly MethodChoice[]
  readonly takeS?: number
}

const quick: Outline = {
  strings: ['E2', 'G3', 'E4'],
  rooms: ['white', 'stage'],
  snrsDb: [0, 10, 20],
  repeats: 5,
  methods: [
    ...choices('yin', 'mpm', 'acf', 'spectral-peak', 'harmonic-sum', 'partial-fit', 'pitchy'),
    ...slow('pitchfinder-yin', 'pitchfinder-macleod'),
  ],
}

const outside = (id: string): boolean => id.startsWith('pitchfinder-')

const outlines: Readonly<Record<string, () => Outline>> = {
  first: () => ({
    strings: ['E2', 'E4'],
    rooms: ['white'],
    snrsDb: [0, 10, 20],
    repeats: 4,
    methods: choices('yin', 'mpm', 'pitchy', 'partial-fit'),
  }),
  quick: () => quick,
  standard: () => ({
    strings: ['E2', 'A2', 'D3', 'G3', 'B3', 'E4'],
    rooms: ['white', 'stage', 'front-acoustic', 'twin-string'],
    snrsDb: [-10, -5, 0, 5, 10, 15, 20],
    repeats: 8,
    takeS: 2.5,
    methods: choices(
      ...['yin', 'mpm', 'acf', 'spectral-peak', 'harmonic-sum', 'shs', 'hps', 'pitchy'],
      ...['partial-fit', 'joint-fit', 'whitened-sum', 'growing-fit'],
    ),
  }),
  field: () => ({
    ...quick,
    repeats: 2,
    methods: methods.flatMap((method) => (outside(method.id) ? slow(method.id) : choices(method.id))),
  }),
}

export const planPreset = 'plan'
/** Where a plan is made for unless told. */
export const planRoom = 'stage'

export const presetIds: readonly string[] = [...Object.keys(outlines), planPreset]

/** @throws Problem that lists the known presets. */
export function presetStudy(id: string): Study {
  if (id === planPreset) return planStudy({ room: roomById(planRoom) })
  const outline = Object.hasOwn(outlines, id) ? outlines[id]?.() : undefined
  if (outline === undefined) throw new Problem(`no preset "${id}"; known are ${presetIds.join(', ')}`, 'preset')
  return {
    ...studyDefaults,
    ...outline,
    id,
    strings: outline.strings.map((string) => stringById(string)),
    rooms: outline.rooms.map((room) => roomById(room)),
  }
}

/** The preset `plan` for another instrument, room or range of ratios. */
export const planStudy = (wish: PlanStudyWish): Study => ({ ...studyDefaults, ...planOutline(wish), id: planPreset })
