import { describe, expect, it } from 'vitest'
import { knownInstruments } from '../../src/core/instruments/podium.ts'
import { centsBetween } from '../../src/core/maths/units.ts'
import { Problem } from '../../src/core/problem.ts'
import type { SyntheticPluck } from '../../src/core/scene/scene.ts'
import { noteOf } from '../../src/core/study/instrumentstrings.ts'
import { parseStudy } from '../../src/core/study/parse.ts'
import { planStudy, presetIds, presetStudy, roomById, stringById } from '../../src/core/study/presets.ts'
import { headerOf, parseRun, recordLine, trialCount } from '../../src/core/study/record.ts'
import type { Outcome, Study } from '../../src/core/study/study.ts'
import { openStudy, trialAt } from '../../src/core/study/trial.ts'
import { detuneCentsOf, sceneOf, stringOfRepeat } from '../../src/core/study/trialscene.ts'

const small: Study = {
  ...presetStudy('first'),
  strings: [stringById('E2'), stringById('E4')],
  rooms: [roomById('white'), roomById('pink')],
  snrsDb: [0, 20],
  repeats: 3,
  methods: [
    { id: 'yin', values: {} },
    { id: 'mpm', values: {} },
  ],
}

const problemOf = (work: () => unknown): string => {
  try {
    work()
  } catch (error) {
    if (error instanceof Problem) return error.sentence
    throw error
  }
  return 'no problem'
}

describe('trials of a study', () => {
  it('are numbered string, room, ratio, repeat, the last one fastest', () => {
    expect(trialCount(small)).toBe(24)
    expect(trialAt(small, 0)).toEqual({ index: 0, string: 'E2', room: 'white', snrDb: 0, repeat: 0 })
    expect(trialAt(small, 4)).toEqual({ index: 4, string: 'E2', room: 'white', snrDb: 20, repeat: 1 })
    expect(trialAt(small, 6)).toEqual({ index: 6, string: 'E2', room: 'pink', snrDb: 0, repeat: 0 })
    expect(trialAt(small, 23)).toEqual({ index: 23, string: 'E4', room: 'pink', snrDb: 20, repeat: 2 })
    expect(() => trialAt(small, 24)).toThrow(Problem)
  })

  const sceneAt = (index: number, study = small) => {
    const trial = trialAt(study, index)
    const string = study.strings.find((entry) => entry.id === trial.string)
    const room = study.rooms.find((entry) => entry.id === trial.room)
    if (string === undefined || room === undefined) throw new Error('the trial names what the study lacks')
    return sceneOf(study, string, room, trial)
  }

  it('share the string side over rooms and ratios, and nothing else', () => {
    const [one, otherRatio, otherRoom, otherRepeat] = [0, 3, 6, 1].map((index) => sceneAt(index))
    expect(otherRatio?.plucks).toEqual(one?.plucks)
    expect(otherRoom?.plucks).toEqual(one?.plucks)
    expect(otherRepeat?.plucks).not.toEqual(one?.plucks)
    expect(new Set([one, otherRatio, otherRoom, otherRepeat].map((scene) => scene?.seed)).size).toBe(4)
  })

  it('pluck the same string anew at every ratio where the study says so, with a twin at the lowest only', () => {
    const anew: Study = { ...small, unevenDb: 4, plucksAString: 3, takeS: 1 }
    const [one, otherRatio, otherRoom] = [0, 3, 6].map((index) => sceneAt(index, anew))
    expect(otherRatio?.stringSeed).toBe(one?.stringSeed)
    const [pluck, other] = [one, otherRatio].map((scene) => scene?.plucks[0] as SyntheticPluck)
    expect(other.firstPartialHz).not.toBe(pluck.firstPartialHz)
    expect(other.glideCents).not.toBe(pluck.glideCents)
    expect(otherRatio?.attackSeed).not.toBe(one?.attackSeed)
    expect(otherRoom?.plucks).toEqual(one?.plucks)
    const open = openStudy(anew, new Map())
    const offsets = [0, 3].flatMap((index) =>
      open.run(index).outcomes.map((outcome) => (outcome.state === 'scored' ? outcome.score.offsetCents : null)),
    )
    expect(offsets.map((cents) => Number.isNaN(cents))).toEqual([false, false, true, true])
  })

  it('pluck five strings by turns, each as often as the study says, the last two times off its note', () => {
    const study: Study = { ...small, detuneCents: 10, plucksAString: 3, farDetuneCents: 160, repeats: 300 }
    const repeats = Array.from({ length: 300 }, (_, repeat) => repeat)
    expect(repeats.slice(0, 30).map((repeat) => stringOfRepeat(study, repeat))).toEqual([
      ...[0, 1, 2, 3, 4, 0, 1, 2, 3, 4, 0, 1, 2, 3, 4],
      ...[5, 6, 7, 8, 9, 5, 6, 7, 8, 9, 5, 6, 7, 8, 9],
    ])
    const seeds = repeats.map((repeat) => sceneAt(repeat, study).stringSeed)
    expect([seeds[5], seeds[10], seeds[15] === seeds[0]]).toEqual([seeds[0], seeds[0], false])
    const cents = repeats.map((repeat) => detuneCentsOf(study, 'E2', { repeat, snrDb: 0 }))
    const [near, off, far] = [0, 1, 2].map((turn) =>
      cents.filter((_, repeat) => Math.floor((repeat % 15) / 5) === turn),
    )
    expect(Math.max(...near.map(Math.abs))).toBeLessThanOrEqual(10)
    // 10 to 40 and 40 to 160: two octaves each. Of 100 in each, an outer half octave is empty with a chance of 0.75^100 < 1e-12.
    for (const [list, lowest] of [
      [off, 10],
      [far, 40],
    ] as const) {
      const sizes = list.map(Math.abs)
      expect(Math.min(...sizes)).toBeGreaterThanOrEqual(lowest)
      expect(Math.min(...sizes)).toBeLessThan(lowest * Math.SQRT2)
      expect(Math.max(...sizes)).toBeLessThanOrEqual(4 * lowest)
      expect(Math.max(...sizes)).toBeGreaterThan((4 * lowest) / Math.SQRT2)
      // Either way as often: four standard deviations of 100.
      expect(Math.abs(list.filter((value) => value > 0).length - 50)).toBeLessThanOrEqual(20)
    }
  })

  it('pluck far off by ratios from a cent on where the near ones are in tune', () => {
    const study: Study = { ...small, detuneCents: 0, plucksAString: 3, farDetuneCents: 100, repeats: 150 }
    const cents = Array.from({ length: 150 }, (_, repeat) => Math.abs(detuneCentsOf(study, 'E2', { repeat, snrDb: 0 })))
    for (const [repeat, size] of cents.entries()) {
      const [low, high] = [
        [0, 0],
        [1, 10],
        [10, 100],
      ][Math.floor((repeat % 15) / 5)] ?? [Number.NaN, Number.NaN]
      expect(size).toBeGreaterThanOrEqual(low ?? Number.NaN)
      expect(size).toBeLessThanOrEqual(high ?? Number.NaN)
    }
  })

  it('are plucked far off in every second repeat where the study says so, and as before in the others', () => {
    const far = { ...small, farDetuneCents: 150 }
    const cents = (study: Study): number[] =>
      Array.from({ length: 60 }, (_, repeat) => detuneCentsOf(study, 'E2', { repeat, snrDb: 0 }))
    const [plain, both] = [cents(small), cents(far)]
    expect(both.filter((_, repeat) => repeat % 2 === 0)).toEqual(plain.filter((_, repeat) => repeat % 2 === 0))
    // The same draw, on another scale.
    const { detuneCents } = small
    for (const [repeat, value] of both.entries()) {
      if (repeat % 2 === 1) expect(value * detuneCents).toBeCloseTo((plain[repeat] ?? Number.NaN) * 150, 9)
    }
    expect(Math.max(...both.map(Math.abs))).toBeGreaterThan(detuneCents)
  })

  it('are plucked within the detune of the study around the target', () => {
    const many = { ...small, repeats: 200, strings: [stringById('E2')], rooms: [roomById('white')], snrsDb: [0] }
    const cents = Array.from({ length: 200 }, (_, index) =>
      centsBetween((sceneAt(index, many).plucks[0] as SyntheticPluck).firstPartialHz, stringById('E2').targetHz),
    )
    expect(Math.max(...cents.map(Math.abs))).toBeLessThanOrEqual(30)
    // 200 uniform draws over 60 c all miss an outer tenth of it with probability 0.9^200 < 1e-9.
    expect(Math.max(...cents)).toBeGreaterThan(24)
    expect(Math.min(...cents)).toBeLessThan(-24)
  })

  it('pluck another string a fourth higher for wrong-string', () => {
    const wrong = { ...small, rooms: [roomById('white/wrong-string')] }
    const right = { ...small, rooms: [roomById('white')] }
    const [wrongHz, rightHz] = [wrong, right].map(
      (study) => (sceneAt(0, study).plucks[0] as SyntheticPluck).firstPartialHz,
    )
    expect(centsBetween(wrongHz ?? 0, rightHz ?? 0)).toBeCloseTo(500, 9)
  })

  it('come out the same alone and in company', () => {
    const open = openStudy(small, new Map())
    const inOrder = Array.from({ length: 7 }, (_, index) => open.run(index))
    expect(openStudy(small, new Map()).run(6).outcomes).toEqual(inOrder[6]?.outcomes)
    expect(openStudy({ ...small, methods: [small.methods[1] as never] }, new Map()).run(6).outcomes[0]).toEqual(
      inOrder[6]?.outcomes[1],
    )
  })

  it('replay to the very score of the run', () => {
    const open = openStudy(small, new Map())
    const [first] = open.run(14).outcomes
    expect(first?.state).toBe('scored')
    if (first?.state === 'scored') expect(open.replay(14).tracks[0]?.score).toEqual(first.score)
  })

  it('call every claim false when no string sounds', () => {
    const none = { ...small, rooms: [roomById('hum/no-string')], snrsDb: [0] }
    const open = openStudy(none, new Map())
    for (let index = 0; index < open.trialCount; index++) {
      for (const outcome of open.run(index).outcomes) {
        expect(outcome.state).toBe('scored')
        if (outcome.state === 'scored') expect(outcome.score.claim).not.toMatch(/true|structural/)
      }
    }
  })

  it('tell what failed and go on', () => {
    const open = openStudy(
      {
        ...small,
        methods: [
          { id: 'yin', values: { window: 256 } },
          { id: 'mpm', values: {} },
        ],
        lowestHz: 30,
        highestHz: 32,
      },
      new Map(),
    )
    const { outcomes } = open.run(0)
    expect(outcomes.map((outcome) => outcome.state)).toEqual(['failed', 'scored'])
  })

  it('are refused with an unknown method or setting', () => {
    expect(problemOf(() => openStudy({ ...small, methods: [{ id: 'nose', values: {} }] }, new Map()))).toMatch(/nose/)
    expect(problemOf(() => openStudy({ ...small, methods: [{ id: 'yin', values: { widow: 1 } }] }, new Map()))).toMatch(
      /yin\.widow: no such setting/,
    )
  })
})

describe('presets', () => {
  it('survive JSON and the check of study files', () => {
    for (const id of presetIds) {
      const study = presetStudy(id)
      expect(parseStudy(JSON.parse(JSON.stringify(study)))).toEqual(study)
    }
  })

  it('plan for another instrument: its strings and ratios, all else as in the preset', () => {
    const bass = knownInstruments.find(({ kind }) => kind === 'bass')
    if (bass === undefined) throw new Error('the podium has no bass')
    const study = planStudy({ instrument: bass, room: roomById('pink'), snrsDb: [3] })
    const usual = presetStudy('plan')
    expect(study.strings.map(noteOf)).toEqual(['E1', 'A1', 'D2', 'G2'])
    expect(study.snrsDb).toEqual([3])
    expect({ ...study, strings: usual.strings, rooms: usual.rooms, snrsDb: usual.snrsDb }).toEqual(usual)
  })

  it('have the sizes they are known by', () => {
    const sizes = Object.fromEntries(
      presetIds.map((id) => [id, [trialCount(presetStudy(id)), presetStudy(id).methods.length]]),
    )
    expect(sizes).toEqual({ first: [24, 4], quick: [90, 9], standard: [1344, 12], field: [36, 22], plan: [6000, 9] })
  })
})

describe('study files', () => {
  const given = { strings: ['E2'], rooms: ['white'], snrsDb: [0], methods: ['yin'] }

  it('take ids or descriptions, and defaults for the rest', () => {
    const study = parseStudy({
      ...given,
      strings: ['E2', { id: 'mine', targetHz: 100, pluck: { stiffness: 1e-4 } }],
      methods: ['yin', { id: 'mpm', values: { window: 2048 } }],
    })
    expect(study.strings[1]).toEqual({ id: 'mine', targetHz: 100, pluck: { stiffness: 1e-4 } })
    expect(study.repeats).toBe(5)
  })

  it.each([
    [{ ...given, snrsDb: [400] }, 'snrsDb.0: 400 is above 120 dB'],
    [{ ...given, snrsDb: [] }, 'snrsDb: needs at least 1'],
    [{ ...given, strings: ['E9'] }, 'strings.0: no string "E9"; known are'],
    [{ ...given, rooms: ['attic'] }, 'rooms.0: no room "attic"'],
    [{ ...given, rooms: ['white/loud'] }, 'rooms.0: no room "white/loud"'],
    [{ ...given, methods: ['nose'] }, 'methods.0'],
    [{ ...given, methods: ['yin', 'yin'] }, 'methods.1: yin stands there already'],
    [{ ...given, methods: [{ id: 'yin', values: { window: 1 } }] }, 'methods.0.values.window: 1 is below 256 samples'],
    [{ ...given, repeat: 3 }, 'no such setting: repeat'],
    [{ ...given, repeats: 2.5 }, 'repeats: 2.5 is not a whole number'],
    [{ ...given, claim: { holds: 1 } }, 'claim.holds: no such setting'],
    [{ ...given, takeS: 0.8, leadS: 0.7 }, 'takeS: 0.8 s leaves no time'],
    [{ ...given, strings: [{ id: 'x', targetHz: 'A' }] }, 'strings.0.targetHz: is not of type number'],
    [
      { ...given, strings: [{ id: 'x', targetHz: 100, pluck: { onsetS: 1 } }] },
      'strings.0.pluck.onsetS: no such setting',
    ],
    [
      { ...given, rooms: [{ id: 'x', parts: [{ id: 'white', levelDb: 1e9 }] }] },
      'rooms.0.parts.0.levelDb: 1000000000 is above 120 dB',
    ],
    [[], 'is not of type'],
    [null, 'is not of type'],
  ])('refuse %j', (json, sentence) => {
    expect(problemOf(() => parseStudy(json))).toContain(sentence)
  })
})

describe('a run as a file', () => {
  const header = headerOf(
    { ...small, strings: [stringById('E2')], rooms: [roomById('white')], snrsDb: [0], repeats: 2 },
    '0',
    'test',
  )
  const outcome = (index: number, id: string): Outcome => ({
    state: 'failed',
    trial: { index, string: 'E2', room: 'white', snrDb: 0, repeat: index },
    method: { id, values: {} },
    problem: { what: 'w', where: '' },
  })
  const lines = [
    recordLine(header),
    ...[0, 1].flatMap((index) => ['yin', 'mpm'].map((id) => recordLine(outcome(index, id)))),
  ]

  it('reads back whole', () => {
    const run = parseRun(lines.join(''))
    expect(run.header).toEqual(JSON.parse(JSON.stringify(header)))
    expect(run.completeTrials).toBe(2)
    expect(run.completeChars).toBe(lines.join('').length)
  })

  it('drops a torn line and the trial it belongs to', () => {
    const run = parseRun(lines.join('').slice(0, -5))
    expect(run.completeTrials).toBe(1)
    expect(run.completeChars).toBe(lines.slice(0, 3).join('').length)
  })

  it('maps NaN to null and back', () => {
    const [scored] = openStudy(small, new Map()).run(0).outcomes
    if (scored?.state !== 'scored') throw new Error('expected a score')
    const silent = { ...scored, method: { id: 'yin', values: {} }, score: { ...scored.score, lockS: Number.NaN } }
    const line = recordLine(silent)
    expect(line).toContain('"lockS":null')
    const run = parseRun(lines[0] + line)
    expect(run.outcomes).toEqual([silent])
  })

  it('refuses what does not belong', () => {
    expect(problemOf(() => parseRun(''))).toContain('header')
    expect(problemOf(() => parseRun('{"kind":"outcome"}\n'))).toBe('line 1: is no run header')
    expect(problemOf(() => parseRun(lines[0]?.replace('"schema":1', '"schema":9') ?? ''))).toContain(
      'schema 9 is not 1',
    )
    expect(problemOf(() => parseRun(`${lines[0]}nonsense\n`))).toBe('line 2: is no JSON')
    expect(problemOf(() => parseRun([lines[0], lines[1], lines[1]].join('')))).toBe(
      'line 3: method yin stands out of order',
    )
    expect(problemOf(() => parseRun([lines[0], lines[3]].join('')))).toBe('line 2: trial 1 stands where 0 belongs')
  })
})
