/** Displays in studies: how they are named, run, recorded and summed up. */
import { describe, expect, it } from 'vitest'
import type { DisplaySettings } from '../../src/core/methods/displayed.ts'
import { displayed } from '../../src/core/methods/displayed.ts'
import { methodById } from '../../src/core/methods/index.ts'
import { listen } from '../../src/core/methods/listen.ts'
import { Problem } from '../../src/core/problem.ts'
import { isTooSlowToClaim } from '../../src/core/score/claim.ts'
import { methodNames, summarise } from '../../src/core/score/summary.ts'
import { csvOfCells } from '../../src/core/score/table.ts'
import { compareDisplays, displaysStudy, threeDisplays } from '../../src/core/study/displays.ts'
import { Paces } from '../../src/core/study/pace.ts'
import { parseStudy } from '../../src/core/study/parse.ts'
import { presetStudy } from '../../src/core/study/presets.ts'
import { headerOf, parseRun, recordLine } from '../../src/core/study/record.ts'
import { openStudy } from '../../src/core/study/trial.ts'

const quick: DisplaySettings = { averagingMs: 50, updateHz: 30, inRangeCents: 0, gateDb: -120 }
const slow: DisplaySettings = { averagingMs: 600, updateHz: 8, inRangeCents: 3, gateDb: -50 }
const given = { strings: ['A2'], rooms: ['white'], snrsDb: [20], repeats: 2, takeS: 2.5 }
const behind = parseStudy({
  ...given,
  methods: ['yin', { id: 'yin', display: quick }, { id: 'yin', display: slow }, 'partial-fit'],
})

describe('a study file', () => {
  it('names a display by what differs from the defaults, which are written out', () => {
    const { methods } = parseStudy({ ...given, methods: [{ id: 'yin', display: { averagingMs: 300 } }] })
    expect(methods).toEqual([
      { id: 'yin', values: {}, display: { averagingMs: 300, updateHz: 15, inRangeCents: 0, gateDb: -120 } },
    ])
    expect(parseStudy({ ...given, methods: [{ id: 'yin', display: {} }] }).methods[0]?.display).toEqual({
      averagingMs: 200,
      updateHz: 15,
      inRangeCents: 0,
      gateDb: -120,
    })
  })

  it('survives being written and read again', () => {
    expect(parseStudy(JSON.parse(JSON.stringify(behind)))).toEqual(behind)
  })

  it('without displays holds no word of them', () => {
    expect(JSON.stringify(headerOf(presetStudy('quick'), '0', 'test'))).not.toContain('display')
  })

  const bad = (display: unknown) => ({ ...given, methods: ['yin', { id: 'mpm', display }] })
  it.each([
    [bad({ averagingMs: 20 }), 'methods.1.display.averagingMs: 20 is below 50 ms'],
    [bad({ updateHz: 60 }), 'methods.1.display.updateHz: 60 is above 30 Hz'],
    [bad({ inRangeCents: -1 }), 'methods.1.display.inRangeCents: -1 is below 0 c'],
    [bad({ gateDb: 0 }), 'methods.1.display.gateDb: 0 is above -10 dB'],
    [bad({ gateDb: 'low' }), 'methods.1.display.gateDb: "low" is not a number'],
    [bad({ colour: 1 }), 'methods.1.display.colour: no such setting; known are averagingMs, updateHz'],
    [bad('slow'), 'methods.1'],
    [{ ...given, methods: [{ id: 'yin', displays: {} }] }, 'methods.0'],
    [
      {
        ...given,
        methods: [
          { id: 'yin', display: {} },
          { id: 'yin', display: { updateHz: 15 } },
        ],
      },
      'methods.1: yin {"averagingMs":200,"updateHz":15,"inRangeCents":0,"gateDb":-120} stands there already',
    ],
  ])('%# is refused', (json, sentence) => {
    try {
      parseStudy(json)
    } catch (problem) {
      expect(problem).toBeInstanceOf(Problem)
      expect((problem as Problem).sentence).toContain(sentence)
      return
    }
    throw new Error('it was taken')
  })
})

describe('names', () => {
  it('tell every choice of a study from the others', () => {
    const nameOf = methodNames(behind.methods)
    expect(behind.methods.map(nameOf)).toEqual([
      'yin',
      'yin 50 ms 30 Hz',
      'yin 600 ms 8 Hz ±3 c gate -50 dB',
      'partial-fit',
    ])
  })

  it('hold settings only where the method stands there with several', () => {
    const choices = [512, 2048].map((hop) => ({ id: 'yin', values: { hop }, display: quick }))
    expect(choices.map(methodNames(choices))).toEqual(['yin hop=512 50 ms 30 Hz', 'yin hop=2048 50 ms 30 Hz'])
    expect(choices.slice(0, 1).map(methodNames(choices.slice(0, 1)))).toEqual(['yin 50 ms 30 Hz'])
    const same = [
      { id: 'mpm', values: { hop: 2048 } },
      { id: 'mpm', values: { hop: 2048 }, display: quick },
    ]
    expect(same.map(methodNames(same))).toEqual(['mpm', 'mpm 50 ms 30 Hz'])
  })
})

describe('a run', () => {
  const study = openStudy(behind, new Map())
  const replay = study.replay(0)
  const outcomes = [0, 1].flatMap((index) => study.run(index).outcomes)
  const header = headerOf(behind, '0', 'test')

  it('hears each method behind its display', () => {
    const { samples, sampleRateHz } = replay.rendered.take
    const stream = { sampleRateHz, lowestHz: 30, highestHz: 1400, targetHz: null, room: null }
    expect(replay.tracks).toHaveLength(4)
    const [own, first, second] = replay.tracks
    expect(own?.readings).toEqual(listen(methodById('yin'), samples, stream))
    expect(first?.readings).toEqual(listen(displayed(methodById('yin'), quick), samples, stream))
    expect(second?.readings).toEqual(listen(displayed(methodById('yin'), slow), samples, stream))
    // 30 and 8 a second for 2.5 s; the twin is shown as often.
    expect([first?.readings.length, second?.readings.length, second?.twin.length]).toEqual([75, 20, 20])
  })

  it('gives a cell for each display, and rows that can be told apart', () => {
    const { cells } = summarise(header, outcomes)
    expect(cells.map(({ method, n }) => [method, n])).toEqual([
      ['yin', 2],
      ['yin 50 ms 30 Hz', 2],
      ['yin 600 ms 8 Hz ±3 c gate -50 dB', 2],
      ['partial-fit', 2],
    ])
    const rows = csvOfCells(cells).trim().split('\r\n')
    expect(rows.map((row) => row.split(',')[3])).toEqual(['method', ...cells.map(({ method }) => method)])
    // Eight a second are fewer than five in a quarter of a second.
    expect(cells.map(({ noLockRate }) => noLockRate?.value)).toEqual([0, 0, 1, 0])
  })

  it('is read back with its displays, and refuses another display in their place', () => {
    const lines = [recordLine(header), ...outcomes.map(recordLine)]
    const run = parseRun(lines.join(''))
    expect(run.outcomes.map(({ method }) => method)).toEqual([...behind.methods, ...behind.methods])
    expect(summarise(header, run.outcomes)).toEqual(summarise(header, outcomes))
    const swapped = [lines[0], lines[1], lines[3], lines[2], ...lines.slice(4)].join('')
    expect(() => parseRun(swapped)).toThrow('method yin stands out of order')
  })

  it('leaves the other methods of the study as they are without', () => {
    const plain = openStudy({ ...behind, methods: [{ id: 'yin', values: {} }] }, new Map()).run(0)
    expect(outcomes[0]).toEqual(plain.outcomes[0])
  })
})

describe('pace', () => {
  it('of a display is measured against its updates', () => {
    const paces = new Paces(behind)
    // 33.3 ms and 125 ms are there for an update, 10.7 ms for a frame of yin.
    const timing = { method: 'yin', frames: 10, ms: 400 }
    paces.add([timing, timing, timing, timing])
    expect(paces.all().map(({ keepsUp }) => keepsUp)).toEqual([false, false, true, false])
    expect(paces.all()[2]?.display).toEqual(slow)
    expect(paces.all()[0]).not.toHaveProperty('display')
  })
})

describe('too slow to claim', () => {
  it('is who shows fewer than five values in the hold, or leaves more than a third of it between two', () => {
    // Five values span four periods; three periods are a smaller hold than that.
    expect([15.9, 16, 30].map((hz) => isTooSlowToClaim(1 / hz, { holdS: 0.25 }))).toEqual([true, false, false])
    expect([7.9, 8].map((hz) => isTooSlowToClaim(1 / hz, { holdS: 0.5 }))).toEqual([true, false])
  })
})

describe('one estimate behind three displays', () => {
  const study = { ...presetStudy('first'), repeats: 2 }
  const question = { method: { id: 'yin', values: {} }, string: 'E2', room: 'white', snrDb: 20 }

  it('is asked with the plucks of the study, and a hold that the slowest display can complete', () => {
    const asked = displaysStudy(study, question)
    // Five values at 8 a second span four periods.
    expect(asked.claim).toEqual({ ...study.claim, holdS: 0.5 })
    expect(asked.methods.map(({ display }) => display)).toEqual(threeDisplays.map(({ display }) => display))
    const [own, longer] = [openStudy(study, new Map()).trialAt(0), openStudy(asked, new Map()).trialAt(0)]
    expect(longer).toEqual(own)
    expect(displaysStudy({ ...study, repeats: 40, claim: { ...study.claim, holdS: 1 } }, question)).toMatchObject({
      repeats: 40,
      claim: { holdS: 1 },
    })
  })

  it('tells how much later each display is claimed, pluck by pluck, the same every time', () => {
    const told: number[] = []
    const once = compareDisplays(study, question, new Map(), (heard) => told.push(heard))
    expect(told).toEqual(Array.from({ length: 12 }, (_, i) => i + 1))
    expect(once).toEqual(compareDisplays(study, question, new Map()))
    expect(once.displays.map(({ id, figures, tooSlow }) => [id, figures.n, tooSlow])).toEqual([
      ['quick', 12, false],
      ['middling', 12, true],
      ['slow', 12, true],
    ])
    // E2 is the first string, white the only room, 20 dB the last of three ratios.
    const run = openStudy(displaysStudy(study, question), new Map())
    const plucks = Array.from({ length: 12 }, (_, repeat) => run.run(2 * 12 + repeat).outcomes)
    const later = plucks.map(([quick, , slow]) => {
      if (quick?.state !== 'scored' || slow?.state !== 'scored') throw new Error('a pluck failed')
      return slow.score.lockS - quick.score.lockS
    })
    const sorted = later.filter((s) => !Number.isNaN(s)).sort((a, b) => a - b)
    expect(once.displays[2]?.laterS).toMatchObject({ n: sorted.length })
    const middle = ((sorted[(sorted.length - 1) >> 1] as number) + (sorted[sorted.length >> 1] as number)) / 2
    expect(once.displays[2]?.laterS?.value).toBeCloseTo(middle, 9)
    expect(once.displays[0]?.laterS).toBeNull()
  })

  it('refuses a place that the study has not', () => {
    expect(() => compareDisplays(study, { ...question, snrDb: 7 }, new Map())).toThrow('is not in this study')
  })
})
