/** The named rooms, as a study makes scenes of them. */
import { describe, expect, it } from 'vitest'
import roomList from '../../signals/rooms.json'
import { randomStream } from '../../src/core/maths/random.ts'
import { centsBetween } from '../../src/core/maths/units.ts'
import { Problem } from '../../src/core/problem.ts'
import { parseScene, sceneJson } from '../../src/core/scene/parse.ts'
import { render, roomSpectrum } from '../../src/core/scene/render.ts'
import { noiseSide } from '../../src/core/scene/room.ts'
import type { Scene } from '../../src/core/scene/scene.ts'
import { neighbourStrings } from '../../src/core/study/neighbours.ts'
import { parseStudy } from '../../src/core/study/parse.ts'
import { knownRooms, presetStudy, roomById, stringById } from '../../src/core/study/presets.ts'
import { ratioIn, surroundingsOf } from '../../src/core/study/roomscene.ts'
import { trialAt } from '../../src/core/study/trial.ts'
import { sceneOf } from '../../src/core/study/trialscene.ts'

const none = new Map()
const studyIn = (room: string, snrDb: number, string = 'A2') => ({
  ...presetStudy('first'),
  strings: [stringById(string)],
  rooms: [roomById(room)],
  snrsDb: [snrDb],
  repeats: 2,
  methods: [{ id: 'yin', values: {} }],
})
function sceneIn(room: string, snrDb: number, string = 'A2', index = 0): Scene {
  const study = studyIn(room, snrDb, string)
  return sceneOf(study, stringById(string), roomById(room), trialAt(study, index))
}
const power = (samples: ArrayLike<number>, from: number, to: number): number => {
  let sum = 0
  for (let i = from; i < to; i++) sum += (samples[i] as number) ** 2
  return sum / (to - from)
}
/** `toEqual` takes half a second over a take. */
const same = (a: Float32Array, b: Float32Array): boolean =>
  a.length === b.length && a.every((value, i) => value === b[i])
const db = (ratio: number): number => 10 * Math.log10(ratio)
const ratioOf = (scene: Scene, string: Float32Array, noise: Float32Array): number => {
  const from = Math.round((scene.plucks[0]?.onsetS ?? 0) * scene.sampleRateHz)
  const to = Math.min(noise.length, from + scene.sampleRateHz)
  return db(power(string, from, to) / power(noise, from, to))
}

const names = [
  ...['bench-quiet', 'open-strings', 'rehearsal', 'wings-solid', 'front-acoustic'],
  ...['held-chord', 'twin-string', 'bass-and-count', 'encore', 'headstock-loud'],
]

describe.each(names)('room %s', (name) => {
  const room = roomById(name)
  it('is set at the exact ratio, or at its own where its levels are absolute, with every string and variant', () => {
    for (const [string, snrDb] of [
      ['E2', -3],
      ['E1', 25],
    ] as const) {
      const scene = sceneIn(name, snrDb, string)
      const { clean, noise, take } = render(scene, none)
      expect(take.samples.every(Number.isFinite)).toBe(true)
      expect(Math.abs(ratioOf(scene, clean, noise) - ratioIn(room, snrDb))).toBeLessThan(0.01)
    }
  })
  it('has the noise of the string that was taken away, note for note', () => {
    const [gone] = [sceneIn(`${name}/no-string`, 0)]
    const { clean, noise } = render(gone, none)
    expect(clean.every((value) => value === 0)).toBe(true)
    const { clean: string, noise: again } = render({ ...gone, noString: false }, none)
    expect(same(noise, again)).toBe(true)
    expect(Math.abs(ratioOf(gone, string, noise) - ratioIn(room, 0))).toBeLessThan(0.01)
  })
  it('is the same again, through JSON too', () => {
    const scene = sceneIn(`${name}/wrong-string`, 5)
    const again = parseScene(JSON.parse(JSON.stringify(sceneJson(scene))))
    expect(same(render(again, none).take.samples, render(scene, none).take.samples)).toBe(true)
  })
  it('has a spectrum that can be learnt', () => {
    const string = stringById('A2')
    const spectrum = roomSpectrum(room.parts, 48000, 1, none, string.targetHz, {
      stringSeed: 1,
      ...surroundingsOf(string, room),
    })
    expect(spectrum.density.every((value) => Number.isFinite(value) && value >= 0)).toBe(true)
  })
})

describe('a room that says how it is heard', () => {
  const told = roomList.rooms.flatMap((room) => ('heard' in room && room.heard !== undefined ? [room] : []))
  it('is found', () => {
    expect(told.map(({ id }) => id)).toEqual(['wings-solid', 'front-acoustic', 'headstock-loud'])
  })
  it.each(told)('stands behind its sensor at those weights: $id', ({ id, heard }) => {
    const room = roomById(id)
    const surroundings = surroundingsOf(stringById('A2'), room)
    const sampleRateHz = 48000
    // Long, as drums and knocks come and go: 10 s hold 20 of each.
    const length = 10 * sampleRateHz
    const side = (kept: readonly string[], driven: boolean): Float64Array => {
      const parts = room.parts.map((part) => (kept.includes(part.id) ? part : { ...part, levelDb: -120 }))
      const { neighbours, ...way } = surroundings
      return noiseSide(
        length,
        parts,
        {
          ...{ sampleRateHz, random: randomStream(4, 'heard'), pluck: null, onsetS: 0, targetHz: 110 },
          ...{ recordings: none, where: parts.map(() => '') },
        },
        { stringSeed: 1, ...way, ...(driven && neighbours !== undefined ? { neighbours } : {}) },
        { from: 0, to: length },
      )
    }
    const level = (samples: Float64Array): number => db(power(samples, 0, length))
    const reference = level(side([room.parts[0]?.id ?? ''], false))
    for (const [part, wanted] of Object.entries(heard as Record<string, number>)) {
      const all = room.parts.map((each) => each.id)
      const without = side(all, false)
      const measured =
        part === 'driven'
          ? level(side(all, true).map((value, i) => value - (without[i] as number)))
          : level(side([part], false))
      expect(Math.abs(measured - reference - wanted)).toBeLessThan(1)
    }
  })
})

describe('what sounds near the note in hand', () => {
  it.each(['twin-string', 'held-chord'])('is told the note, not the pluck, in %s', (name) => {
    for (const variant of ['', '/no-string', '/wrong-string']) {
      const scene = sceneIn(`${name}${variant}`, 0)
      expect(scene.targetHz).toBe(stringById('A2').targetHz)
    }
    const wrong = sceneIn(`${name}/wrong-string`, 0)
    const [pluck] = wrong.plucks
    if (pluck === undefined || pluck.recording !== undefined) throw new Error('no synthetic pluck')
    expect(centsBetween(pluck.firstPartialHz, wrong.targetHz ?? 0)).toBeGreaterThan(450)
  })
  it('makes the noise of a wrong string the same as that of the right one but for its level', () => {
    // Same seed: only what the pluck tells the noise could differ, and both plucks have the same stiffness.
    const scene = sceneIn('held-chord/wrong-string', 0)
    const right = { ...scene, plucks: sceneIn('held-chord', 0).plucks }
    const [a, b] = [scene, right].map((each) => render(each, none).noise) as [Float32Array, Float32Array]
    const gain = Math.sqrt(power(a, 0, a.length) / power(b, 0, b.length))
    // Float32 on either side.
    expect(a.every((value, i) => Math.abs(value - gain * (b[i] as number)) < 1e-6)).toBe(true)
  })
})

describe('the quiet workbench', () => {
  it('lies 43.8 dB under the string whatever ratio is asked for', () => {
    // 10 lg (10^-5 + 10^-4.5) = -43.81 dB.
    expect(ratioIn(roomById('bench-quiet'), -10)).toBeCloseTo(43.807, 3)
    expect(sceneIn('bench-quiet', -10).room?.snrDb).toBeCloseTo(43.807, 3)
    expect(sceneIn('stage', -10).room?.snrDb).toBe(-10)
  })
  it('has the other strings ringing 20 dB under the plucked one', () => {
    const scene = sceneIn('open-strings', 0)
    const { neighbours, ...alone } = scene
    expect(neighbours?.strings.map(({ firstPartialHz }) => Math.round(firstPartialHz))).toEqual([
      82, 147, 196, 247, 330,
    ])
    const [both, bare] = [scene, alone].map((each) => render(each, none).clean) as [Float32Array, Float32Array]
    expect(
      -ratioOf(
        scene,
        bare,
        both.map((value, i) => value - (bare[i] as number)),
      ),
    ).toBeCloseTo(-20, 3)
  })
})

describe('the other strings', () => {
  it('are those of the same instrument, or a guitar for a string nobody knows', () => {
    const hz = (id: string): number[] =>
      neighbourStrings(stringById(id)).map(({ firstPartialHz }) => Math.round(firstPartialHz))
    expect(hz('E4')).toEqual([82, 110, 147, 196, 247])
    expect(hz('A1')).toEqual([31, 41, 73, 98])
    const own = neighbourStrings({ id: 'own', targetHz: 146, pluck: {} })
    expect(own.map(({ firstPartialHz }) => Math.round(firstPartialHz))).toEqual([82, 110, 196, 247, 330])
  })
})

describe('a room in a study file', () => {
  const written = {
    strings: ['A2'],
    snrsDb: [0],
    methods: ['yin'],
    rooms: [
      {
        id: 'own',
        parts: [{ id: 'pink' }],
        sensor: 'magnetic',
        body: 'solid',
        sympatheticDb: -40,
        drivenDb: -50,
        absolute: true,
      },
    ],
  }
  const problemOf = (room: object): string => {
    try {
      parseStudy({ ...written, rooms: [{ ...written.rooms[0], ...room }] })
    } catch (error) {
      if (error instanceof Problem) return error.sentence
      throw error
    }
    return 'no problem'
  }
  it('may have a sensor, a body, ringing strings and levels of its own', () => {
    expect(parseStudy(written).rooms).toEqual([
      {
        ...{ id: 'own', variant: 'string', parts: [{ id: 'pink', levelDb: 0, values: {} }] },
        ...{ sensor: { id: 'magnetic', values: {} }, body: 'solid', sympatheticDb: -40, drivenDb: -50, absolute: true },
      },
    ])
  })
  it.each([
    [
      { sensor: 'ear' },
      'rooms.0.sensor: no sensor "ear"; known are none, magnetic, under-saddle, microphone, headstock',
    ],
    [{ sensor: { id: 'magnetic', values: { humDb: 0 } } }, 'rooms.0.sensor.values.humDb: 0 is above -10 dB'],
    [{ sympatheticDb: 3 }, 'rooms.0.sympatheticDb: 3 is above 0 dB'],
    [{ drivenDb: -61 }, 'rooms.0.drivenDb: -61 is below -60 dB'],
    [{ humDb: 1 }, 'rooms.0: no such setting: humDb'],
  ])('is refused with %o', (room, sentence) => {
    expect(problemOf(room)).toContain(sentence)
  })
  it('is read back as it was, for every named room', () => {
    for (const { id } of knownRooms) {
      const study = studyIn(id, 0)
      expect(parseStudy(JSON.parse(JSON.stringify(study)))).toEqual(study)
    }
  })
})
