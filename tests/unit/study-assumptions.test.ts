/** What a study takes for granted: nothing assumed is missing, nothing stated is called assumed. */
import { describe, expect, it } from 'vitest'
import stringList from '../../signals/strings.json'
import { instrumentById } from '../../src/core/instruments/podium.ts'
import { kindPluck } from '../../src/core/scene/kinds.ts'
import { type Assumption, assumptionsOf } from '../../src/core/study/assumptions.ts'
import { instrumentStrings } from '../../src/core/study/instrumentstrings.ts'
import { knownRooms, knownStrings, presetStudy, roomById, stringById } from '../../src/core/study/presets.ts'
import type { Study, StudyRoom, StudyString } from '../../src/core/study/study.ts'

const studyOf = (strings: readonly StudyString[], ...rooms: readonly StudyRoom[]): Study => ({
  ...presetStudy('first'),
  strings,
  rooms,
})
const white = roomById('white')
const of = (list: readonly Assumption[], group: string) => list.filter((one) => one.group === group)

describe('the assumptions of a study', () => {
  it('hold every assumed value of every bare string', () => {
    for (const { id } of knownStrings) {
      const entry = stringList.strings.find((string) => string.id === id)
      const assumed = Object.entries(entry?.source ?? {}).filter(
        ([key, source]) => source.startsWith('assumption') && key in (entry?.pluck ?? {}),
      )
      const found = assumptionsOf(studyOf([stringById(id)], white))
      expect(found.map(({ source }) => source).sort(), id).toEqual(assumed.map(([, source]) => source).sort())
    }
  })

  it('leave out what the study states itself', () => {
    const e2 = stringById('E2')
    const stated = { ...e2, pluck: { ...e2.pluck, levelDbfs: -9 } }
    const names = (string: StudyString) => assumptionsOf(studyOf([string], white)).map(({ value }) => value)
    expect(names(e2)).toContain(-14)
    expect(names(stated)).not.toContain(-14)
    expect(names(stated)).not.toContain(-9)
  })

  it('hold all that is usual for the kind of an instrument, with its basis, and how its stiffness came about', () => {
    const strings = instrumentStrings(instrumentById('ring-rhythm'))
    const found = of(assumptionsOf(studyOf(strings, white)), 'strings')
    const low = strings[0] as StudyString
    for (const { value, basis } of Object.values(kindPluck('electric', low.targetHz))) {
      const entry = found.find((one) => one.value === value && one.source.includes(basis))
      expect(entry?.of, `${value} ${basis}`).toContain(low.id)
    }
    expect(found.filter(({ name }) => name === 'stiffness').map(({ value }) => value)).toEqual(
      strings.map(({ pluck }) => pluck.stiffness),
    )
  })

  it('name sensor, body and neighbours of a room that has them, and nothing of one that has none', () => {
    const groups = (id: string) => new Set(assumptionsOf(studyOf([stringById('E2')], roomById(id))).map((a) => a.group))
    expect([...groups('front-acoustic')]).toEqual(['strings', 'rooms', 'sensors', 'neighbours', 'bodies'])
    expect([...groups('white')]).toEqual(['strings'])
  })

  it('say what stands for the wrong string, and where an unknown string rings among others', () => {
    const strange = { id: 'mine', targetHz: 120, pluck: {} }
    const found = assumptionsOf(studyOf([strange], roomById('open-strings'), roomById('white/wrong-string')))
    expect(found.find(({ name }) => name.includes('wrong string'))?.value).toBe(500)
    expect(of(found, 'neighbours').map(({ source }) => source)).toContain(
      'assumption: a six-string guitar in standard tuning stands in',
    )
  })

  it('have a name, a source and somebody to hold for, in every room at once, each only once', () => {
    const rooms = knownRooms.flatMap(({ id }) => [roomById(id), roomById(`${id}/no-string`)])
    const found = assumptionsOf(
      studyOf(
        knownStrings.map(({ id }) => stringById(id)),
        ...rooms,
      ),
    )
    for (const one of found) {
      expect(one.name === '' || one.source === '' || one.of.length === 0 || one.name.includes('undefined')).toBe(false)
    }
    const keys = found.map(({ group, name, value, source }) => JSON.stringify([group, name, value, source]))
    expect(new Set(keys).size).toBe(keys.length)
  })
})
