/** Strings of an instrument in a study: what comes from the instrument, what from its kind, and who rings along. */
import { describe, expect, it } from 'vitest'
import { stringPluck } from '../../src/core/instruments/pluck.ts'
import { instrumentById, knownInstruments } from '../../src/core/instruments/podium.ts'
import { kindPluckValues } from '../../src/core/scene/kinds.ts'
import { parseScene, sceneJson } from '../../src/core/scene/parse.ts'
import { render } from '../../src/core/scene/render.ts'
import type { SyntheticPluck } from '../../src/core/scene/scene.ts'
import { stringLaw } from '../../src/core/scene/stringlaw.ts'
import { instrumentOf, instrumentStrings, noteOf } from '../../src/core/study/instrumentstrings.ts'
import { parseStudy } from '../../src/core/study/parse.ts'
import { presetStudy, roomById } from '../../src/core/study/presets.ts'
import { surroundingsOf } from '../../src/core/study/roomscene.ts'
import type { StudyString } from '../../src/core/study/study.ts'
import { trialAt } from '../../src/core/study/trial.ts'
import { sceneOf } from '../../src/core/study/trialscene.ts'

const rhythm = instrumentById('ring-rhythm')
const studyOf = (strings: readonly StudyString[], room = 'open-strings') => ({
  ...presetStudy('first'),
  detuneCents: 0,
  strings,
  rooms: [roomById(room)],
})
const pluckOf = (string: StudyString): SyntheticPluck => {
  const study = studyOf([string])
  const scene = sceneOf(study, string, study.rooms[0] as never, trialAt(study, 0))
  return scene.plucks[0] as SyntheticPluck
}

describe('strings of an instrument', () => {
  it('are all of its strings, lowest first, named by note and instrument', () => {
    const strings = instrumentStrings(rhythm)
    expect(strings.map(({ id }) => id)).toEqual(
      ['E2', 'A2', 'D3', 'G3', 'B3', 'E4'].map((note) => `${note} of ring-rhythm`),
    )
    expect(strings.map(instrumentOf)).toEqual(strings.map(() => 'ring-rhythm'))
    expect(strings.map(noteOf)).toEqual(['E2', 'A2', 'D3', 'G3', 'B3', 'E4'])
    expect(instrumentOf({ id: 'E2', targetHz: 82.4, pluck: {} })).toBeNull()
  })

  it('have ids of their own on every instrument of the podium, and survive JSON', () => {
    for (const instrument of knownInstruments) {
      const study = studyOf(instrumentStrings(instrument))
      expect(parseStudy(JSON.parse(JSON.stringify(study))), instrument.id).toEqual(study)
    }
  })

  it('sound as their kind does, but for what the instrument or the study states', () => {
    const [low] = instrumentStrings(rhythm) as [StudyString]
    const usual = kindPluckValues('electric', low.targetHz)
    const { stiffness, levelDbfs, ...rest } = pluckOf(low)
    expect(rest).toMatchObject(usual)
    expect(stiffness).toBeCloseTo(stringPluck(rhythm, 5).pluck.stiffness, 9)
    expect(levelDbfs).toBe(-14)
    const stated = pluckOf({ ...low, pluck: { ...low.pluck, decayS: 1.25, glideCents: 0 } })
    expect(stated).toMatchObject({ decayS: 1.25, glideCents: 0, levelSlopeDb: usual.levelSlopeDb, kind: 'electric' })
  })

  it('a bare string has nothing of any kind', () => {
    const bare = pluckOf({ id: 'x', targetHz: 110, pluck: {} })
    expect([bare.glideCents, bare.levelScatterDb, bare.polMix, bare.kind]).toEqual([0, 0, 0, undefined])
  })

  it('sound as stiff under a capo as the instrument says, and shorter', () => {
    const capoed = { ...rhythm, capo: { fret: 3, shiftCents: 0, tuned: 'capo-on' as const } }
    const [low] = instrumentStrings(capoed) as [StudyString]
    const sounding = stringLaw(pluckOf(low))
    expect(sounding.stiffness / stringPluck(capoed, 5).pluck.stiffness).toBeCloseTo(1, 5)
    const open = kindPluckValues('electric', low.targetHz).decayS as number
    // Half every twelve frets.
    expect(sounding.decayS).toBeCloseTo(open * 2 ** (-3 / 12), 9)
    expect(low.neighbours?.[0]?.decayS).toBeCloseTo(open * 2 ** (-3 / 12), 4)
  })

  it('ring along with one another, never with themselves', () => {
    for (const string of instrumentStrings(rhythm)) {
      const { neighbours } = surroundingsOf(string, roomById('open-strings'))
      expect(neighbours?.strings).toHaveLength(5)
      expect(neighbours?.strings.every(({ firstPartialHz }) => firstPartialHz !== string.targetHz)).toBe(true)
    }
  })

  it('make a scene that a file holds without loss', () => {
    const [low] = instrumentStrings(rhythm) as [StudyString]
    const study = studyOf([low])
    const scene = sceneOf(study, low, study.rooms[0] as never, trialAt(study, 0))
    const read = parseScene(JSON.parse(JSON.stringify(sceneJson(scene))))
    const [a, b] = [scene, read].map((one) => render(one, new Map()).take.samples) as [Float32Array, Float32Array]
    expect(a.every((value, i) => value === b[i])).toBe(true)
  })
})

describe('a study from JSON', () => {
  const given = (string: object) => ({ ...studyOf([]), strings: [{ id: 'x', targetHz: 110, ...string }] })

  it('refuses a kind nobody knows, a kind of a recording, and neighbours beyond their limits', () => {
    expect(() => parseStudy(given({ kind: 'harp' }))).toThrow(/"electric"/)
    expect(() => parseStudy(given({ kind: 'bass', recording: 'bass-e1' }))).toThrow(/recorded/)
    expect(() => parseStudy(given({ neighbours: [{ firstPartialHz: 1 }] }))).toThrow(/below 15 Hz/)
  })

  it('fills in what is left out of a neighbour', () => {
    const [string] = parseStudy(given({ kind: 'nylon', neighbours: [{ firstPartialHz: 98 }] })).strings
    expect(string).toMatchObject({ kind: 'nylon', neighbours: [{ firstPartialHz: 98, decayS: 5, stiffness: 0 }] })
  })
})
