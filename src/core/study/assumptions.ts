/**
 * What a study takes for granted: every value in play that nobody measured on the very instrument or in the very place, with
 * where it is from. Strings bare and of a kind, rooms, sensors, neighbours, bodies. Values the study states itself are the
 * person's own and not in it; nor are constants inside a noise, for which its line says what it is made after.
 */
import roomList from '../../../signals/rooms.json'
import stringList from '../../../signals/strings.json'
import { type Fields, fill, type Unit } from '../fields.ts'
import { centsBetween } from '../maths/units.ts'
import { bodyFields, modeSets } from '../scene/body.ts'
import { type KindValue, kindPluck } from '../scene/kinds.ts'
import { neighbourStringFields, standardNeighbours } from '../scene/neighbours.ts'
import { noiseById } from '../scene/noises/index.ts'
import { pluckFields, type SyntheticPluck } from '../scene/scene.ts'
import { sensorById } from '../scene/sensors/index.ts'
import { instrumentOf } from './instrumentstrings.ts'
import { neighbourStrings } from './neighbours.ts'
import { neighboursOffCents } from './roomscene.ts'
import type { Study, StudyRoom, StudyString } from './study.ts'
import { sceneOf } from './trialscene.ts'

export const assumptionGroups = ['strings', 'rooms', 'sensors', 'neighbours', 'bodies'] as const

export interface Assumption {
  readonly group: (typeof assumptionGroups)[number]
  /** In words, unit left out: "second polarisation, level". */
  readonly name: string
  /** null: it is no number. */
  readonly value: number | null
  readonly unit: Unit | 'kg' | ''
  /** Strings or rooms of the study, in its order. */
  readonly of: readonly string[]
  readonly source: string
}

/** By group and name, in the study's order; what is alike stands once, for all whom it holds for. */
export function assumptionsOf(study: Study): readonly Assumption[] {
  const found = [
    ...study.strings.flatMap(ofString),
    ...study.rooms.flatMap((room) => [
      ...ofParts(room),
      ...ofVariant(study, room),
      ...ofSensor(room),
      ...ofNeighbours(study, room),
      ...ofBody(room),
    ]),
    ...ofStage(study),
  ]
  const alike = new Map<string, Assumption>()
  for (const one of found) {
    const key = JSON.stringify([one.group, one.name, one.value, one.source])
    const known = alike.get(key)
    alike.set(key, known === undefined ? one : { ...known, of: [...new Set([...known.of, ...one.of])] })
  }
  const all = [...alike.values()]
  return assumptionGroups.flatMap((group) => {
    const own = all.filter((one) => one.group === group)
    // Values of one name that differ stand together, where the first of them came.
    const names = [...new Set(own.map(({ name }) => name))]
    return names.flatMap((name) => own.filter((one) => one.name === name))
  })
}

type PluckKey = keyof typeof pluckFields
type KnownSources = Readonly<Record<string, string | undefined>>

function ofString(string: StudyString): Assumption[] {
  const of = [string.id]
  const entry = (name: string, value: number | null, unit: Assumption['unit'], source: string): Assumption => ({
    ...{ group: 'strings', name, value, unit, of, source },
  })
  if (string.recording !== undefined) {
    return [
      entry('pitch', null, '', 'fitted to its recording, or stated by who picked it: no better than a cent or two'),
    ]
  }
  const unitOf = (key: string): Unit => pluckFields[key as PluckKey].unit
  if (string.kind !== undefined) {
    const usual = Object.entries(kindPluck(string.kind, string.targetHz)) as [PluckKey, KindValue][]
    return [
      ...(instrumentOf(string) === null ? [] : ofMake(string, entry)),
      ...usual
        .filter(([key]) => string.pluck[key] === undefined)
        .map(([key, { value, basis, source }]) => entry(words(key), value, unitOf(key), based(basis, source, string))),
    ]
  }
  const known = stringList.strings.find(({ id }) => id === string.id)
  const values = (known?.pluck ?? {}) as Readonly<Record<string, number | undefined>>
  return Object.entries((known?.source ?? {}) as KnownSources).flatMap(([key, source = '']) =>
    source.startsWith('assumption') && values[key] !== undefined && values[key] === string.pluck[key]
      ? [entry(words(key), values[key], unitOf(key), source)]
      : [],
  )
}

/** What the instrument itself gave, and the level its strings are listened to at. */
function ofMake({ pluck }: StudyString, entry: (...parts: [string, number, Unit, string]) => Assumption): Assumption[] {
  const make = 'computed from gauge, length and pitch; of a wound string an estimate, good to a factor of two'
  const level = 'assumption: peaks stand a few dB under full scale, as at an input set by hand'
  return [
    ...(pluck.stiffness === undefined ? [] : [entry('stiffness', pluck.stiffness, 'ratio', make)]),
    ...(pluck.levelDbfs === undefined ? [] : [entry(words('levelDbfs'), pluck.levelDbfs, 'dB', level)]),
  ]
}

/** A figure measured on other instruments is still an assumption about this one. */
function based(basis: KindValue['basis'], source: string, { kind }: StudyString): string {
  const said = source.startsWith(basis) ? source : `${basis}: ${source}`
  return basis === 'assumption' ? said : `taken as usual for ${kind === 'nylon' ? '' : 'an '}${kind}; ${said}`
}

/** Rooms by name are the project's own; others are whoever wrote the study. */
function isNamed(room: StudyRoom): boolean {
  const named = roomList.rooms.find(({ id }) => id === baseOf(room))
  return named !== undefined && JSON.stringify(named.parts) === JSON.stringify(room.parts)
}

const baseOf = ({ id }: StudyRoom): string => id.split('/')[0] ?? id

function ofParts(room: StudyRoom): Assumption[] {
  const of = [baseOf(room)]
  const named = isNamed(room)
  const weighed = room.parts.length > 1 || room.absolute === true
  return room.parts.flatMap((part): Assumption[] => {
    const noise = noiseById(part.id)
    const made = /assum|own |common practice/i.test(noise.source)
    const about = { group: 'rooms', unit: 'dB', of } as const
    return [
      ...(made ? [{ ...about, name: `${part.id}, its sound`, value: null, source: noise.source }] : []),
      ...(weighed && named
        ? [{ ...about, name: `${part.id}, level`, value: part.levelDb, source: 'invented with the room' }]
        : []),
      ...usualSettings('rooms', part.id, noise, part.values, of),
    ]
  })
}

/** Settings left at their defaults. */
function usualSettings(
  group: Assumption['group'],
  whose: string,
  { fields, source }: { readonly fields: Fields; readonly source: string },
  stated: Readonly<Record<string, number>>,
  of: readonly string[],
): Assumption[] {
  return Object.entries(fields)
    .filter(([key, field]) => stated[key] === undefined || stated[key] === field.default)
    .map(([key, field]) => ({
      group,
      name: `${whose}, ${words(key)}`,
      value: field.default,
      unit: field.unit,
      of,
      source: field.help.includes('(assumption)') ? 'assumption' : source,
    }))
}

function ofVariant(study: Study, room: StudyRoom): Assumption[] {
  const string = study.strings.find(({ recording }) => recording === undefined)
  if (room.variant !== 'wrong-string' || string === undefined) return []
  const trial = { index: 0, string: string.id, room: room.id, snrDb: 0, repeat: 0 }
  const [pluck] = sceneOf({ ...study, detuneCents: 0 }, string, room, trial).plucks as [SyntheticPluck]
  const value = Math.round(centsBetween(pluck.firstPartialHz, string.targetHz))
  const source = 'the next string up in standard tuning; common practice, no source'
  return [{ group: 'rooms', name: 'the wrong string, above the note', value, unit: 'c', of: [room.id], source }]
}

function ofSensor({ sensor, ...room }: StudyRoom): Assumption[] {
  if (sensor === undefined) return []
  const known = sensorById(sensor.id)
  return usualSettings('sensors', sensor.id, known, sensor.values, [baseOf(room)])
}

function ofNeighbours({ strings }: Study, room: StudyRoom): Assumption[] {
  const { sympatheticDb, drivenDb } = room
  if (sympatheticDb === undefined && drivenDb === undefined) return []
  const entry = (
    name: string,
    value: number | null,
    unit: Assumption['unit'],
    source: string,
    of: readonly string[] = [baseOf(room)],
  ): Assumption => ({ group: 'neighbours', name, value, unit, of, source })
  const level = isNamed(room) ? 'invented with the room' : 'stated in the study'
  const levels = [
    ...(sympatheticDb === undefined ? [] : [entry('ringing with the string', sympatheticDb, 'dB', level)]),
    ...(drivenDb === undefined ? [] : [entry('ringing with the room', drivenDb, 'dB', level)]),
    entry('each off its note by up to', neighboursOffCents, 'c', 'assumption: tuned a while ago'),
  ]
  const rings = strings.flatMap((string): Assumption[] => {
    if (string.neighbours === undefined) return ringing(string, entry)
    const source = string.kind === undefined ? 'stated in the study' : `taken as usual for the kind: ${string.kind}`
    return string.neighbours.map(({ decayS }) => entry('decay', decayS, 's', source, [string.id]))
  })
  return [...levels, ...rings]
}

/** Of strings that signals/ lists, or of the guitar that stands in for an unknown instrument. */
function ringing(
  string: StudyString,
  entry: (name: string, value: number, unit: Unit, source: string, of: readonly string[]) => Assumption,
): Assumption[] {
  const keys = ['stiffness', 'decayS', 'highDecayRatio'] as const
  const others = neighbourStrings(string)
  if (others.some((other) => standardNeighbours.includes(other))) {
    const source = 'assumption: a six-string guitar in standard tuning stands in'
    return keys.map((key) =>
      entry(words(key), others[0]?.[key] ?? Number.NaN, neighbourStringFields[key].unit, source, [string.id]),
    )
  }
  return stringList.strings
    .filter(({ targetHz }) => others.some(({ firstPartialHz }) => firstPartialHz === targetHz))
    .flatMap(({ id, pluck, source }) =>
      keys
        .filter((key) => source[key].startsWith('assumption'))
        .map((key) => entry(words(key), pluck[key], pluckFields[key].unit, source[key], [id])),
    )
}

function ofBody({ body, ...room }: StudyRoom): Assumption[] {
  if (body === undefined) return []
  const of = [baseOf(room)]
  const { impedanceKgPerS, quality } = fill(bodyFields, {})
  const entry = (name: string, value: number, unit: Assumption['unit'], source = 'assumption'): Assumption => ({
    ...{ group: 'bodies', name: `${body} body, ${name}`, value, unit, of, source },
  })
  const published = (hz: number): boolean => body === 'acoustic' && hz <= 200
  return [
    entry('impedance of the string', impedanceKgPerS, 'kg/s'),
    entry('how sharp its modes are', quality, 'ratio'),
    ...modeSets[body].map(({ frequencyHz, massKg }) =>
      entry(
        `mass of its mode at ${frequencyHz} Hz`,
        massKg,
        'kg',
        published(frequencyHz)
          ? 'assumption; its pitch after Christensen & Vistisen 1980'
          : 'assumption, its pitch as well',
      ),
    ),
  ]
}

function ofStage({ level, strings }: Study): Assumption[] {
  if (level !== 'stage') return []
  const source = 'assumption: every string is let go with the same force; body and sensor pass all strings alike'
  return [
    {
      group: 'strings',
      name: 'how hard each is plucked',
      value: null,
      unit: '',
      of: strings.map(({ id }) => id),
      source,
    },
  ]
}

const spoken: Readonly<Record<string, string>> = {
  firstPartialOffsetCents: 'partial 1 off the law',
  firstPartialLevelDb: 'partial 1 re the strongest',
  partialScatterCents: 'scatter of partials',
  levelScatterDb: 'scatter of their levels',
  levelSlopeDb: 'slope of their levels',
  levelDbfs: 'level re full scale',
  highDecayRatio: 'decay of partials 4 to 7 re partial 1',
  lateEarlyRatio: 'decay after 0.4 s re before',
  pickRatio: 'pick position',
  glideCents: 'glide: starts sharp by',
  glideS: 'glide: time constant',
  polMix: 'second polarisation, level',
  polCents: 'second polarisation, sharper by',
  polDecay: 'second polarisation, decay re the first',
  attackDb: 'noise of the pluck, level',
  attackMs: 'noise of the pluck, length',
  decayS: 'decay',
  tempoPerMin: 'quarter notes a minute',
  knocksPerS: 'knocks a second',
  swellsPerS: 'swells a second',
  pickupRatio: 'where it sits',
  resonanceQ: 'how sharp its resonance is',
  neckQ: 'how sharp the modes of the neck are',
}

/** "airRejectDb": "air reject". */
function words(key: string): string {
  return (
    spoken[key] ?? key.replace(/(Hz|PerMin|PerS|S|Db|Cents|Ms)$/, '').replace(/[A-Z]/g, (up) => ` ${up.toLowerCase()}`)
  )
}
