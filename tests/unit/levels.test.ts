/** Levels of a trial, from signals whose powers are known by hand. */
import { describe, expect, it } from 'vitest'
import { hzFromCents } from '../../src/core/maths/units.ts'
import type { Partial } from '../../src/core/scene/scene.ts'
import { levelsOf } from '../../src/core/study/levels.ts'
import { parseStudy } from '../../src/core/study/parse.ts'
import { headerOf, parseRun, recordLine } from '../../src/core/study/record.ts'
import { openStudy } from '../../src/core/study/trial.ts'

const sampleRateHz = 48000
const onsetS = 0.5
const truth = { onsetS, settledHz: 110, track: [] }

interface Tone {
  readonly hz: number
  readonly amplitude: number
  readonly decayPerS?: number
}

/** Tones from `fromS` on. */
function tones(list: readonly Tone[], durationS: number, fromS: number): Float32Array {
  return Float32Array.from({ length: durationS * sampleRateHz }, (_, i) => {
    const t = i / sampleRateHz - fromS
    if (t < 0) return 0
    return list.reduce(
      (sum, { hz, amplitude, decayPerS = 0 }) =>
        sum + amplitude * Math.exp(-decayPerS * t) * Math.sin(2 * Math.PI * hz * t),
      0,
    )
  })
}

const partial = (k: number, amplitude: number): Partial => ({ k, frequencyHz: 110 * k, amplitude, decayPerS: 0 })

const levels = (string: readonly Tone[], noise: readonly Tone[], partials: readonly Partial[], durationS = 2) =>
  levelsOf({
    clean: tones(string, durationS, onsetS),
    noise: tones(noise, durationS, 0),
    sampleRateHz,
    truth,
    partials,
    targetHz: 110,
  })

describe('in-band ratios', () => {
  const string = [
    { hz: 110, amplitude: 0.1 },
    { hz: 330, amplitude: 0.02 },
    { hz: 1100, amplitude: 0.01 },
  ]
  const noise = [
    { hz: hzFromCents(-20, 110), amplitude: 0.01 },
    { hz: hzFromCents(30, 330), amplitude: 0.02 },
    { hz: hzFromCents(-45, 1100), amplitude: 0.05 },
    { hz: hzFromCents(150, 330), amplitude: 0.5 },
  ]
  const found = levels(string, noise, [partial(1, 0.1), partial(3, 0.02), partial(10, 0.01)])

  it('are powers of string and noise within 50 c of the partial', () => {
    // 20 lg of 10, 1 and 1/5. Leaks of a tone 150 c away (30 Hz, 0.5: 28 dB above) fall by 40 dB and more; beside a band edge
    // 5 c (3 Hz) off, 2 % of a tone lie beyond it: 0.1 dB.
    expect(Math.abs(found.inBandDb[0] - 20)).toBeLessThan(0.2)
    expect(Math.abs(found.inBandDb[2])).toBeLessThan(0.2)
    expect(Math.abs(found.inBandDb[9] + 13.98)).toBeLessThan(0.2)
  })

  it('are none for partials that the string does not have', () => {
    expect(found.inBandDb).toHaveLength(10)
    expect(found.inBandDb[1]).toBeNaN()
    expect(found.inBandDb.filter(Number.isNaN)).toHaveLength(7)
  })

  it('give median and minimum over those that there are', () => {
    expect(found.inBandMinDb).toBe(found.inBandDb[9])
    expect(found.inBandMedianDb).toBe(found.inBandDb[2])
  })

  it('take whole multiples of the pitch for a recorded string', () => {
    expect(Math.abs(levels(string, noise, []).inBandDb[2])).toBeLessThan(0.2)
  })
})

describe('ratios as the string fades', () => {
  // 20 lg e = 8.686 dB a second at 1 / s; the mean over 0.1 s differs from its middle by under 0.01 dB.
  const found = levels([{ hz: 200, amplitude: 0.1, decayPerS: 1 }], [{ hz: 1000, amplitude: 0.1 }], [], 2)

  it('stand at 0.2, 0.5 and 1 s', () => {
    const wanted = [0.2, 0.5, 1].map((atS) => -8.686 * atS)
    for (const [i, db] of wanted.entries()) expect(Math.abs(found.ratioAtDb[i] - db)).toBeLessThan(0.02)
  })

  it('are none beyond the end of the take', () => {
    expect(found.ratioAtDb).toHaveLength(4)
    expect(found.ratioAtDb[3]).toBeNaN()
  })

  it('are over the first second for the whole', () => {
    // Mean of exp(-2 t) over 1 s: (1 - e^-2) / 2 = 0.4323, -3.64 dB.
    expect(Math.abs(found.ratioDb + 3.64)).toBeLessThan(0.01)
  })
})

describe('the strongest foreign line', () => {
  const string = [{ hz: 110, amplitude: 0.1 }]
  const noise = [
    { hz: 100, amplitude: 0.05 },
    { hz: 440, amplitude: 0.02 },
  ]

  it('is told by frequency, cents from the note in hand, and power over the string', () => {
    const found = levels(string, noise, [])
    // A tenth of 1 / 0.34 s: 0.3 Hz or 5 c; 1200 lb (100 / 110) = -165.0 c; 20 lg 0.5 = -6.02 dB, grid of bins 0.1 dB.
    expect(Math.abs(found.foreignHz - 100)).toBeLessThan(0.3)
    expect(Math.abs(found.foreignCents + 165)).toBeLessThan(5)
    expect(Math.abs(found.foreignOverStringDb + 6.02)).toBeLessThan(0.2)
  })

  it('is told without a string too, where nothing else can be', () => {
    const found = levels([], noise, [partial(1, 0.1)])
    expect(Math.abs(found.foreignHz - 100)).toBeLessThan(0.3)
    expect([found.ratioDb, found.ratioAtDb[0], found.inBandDb[0], found.inBandMedianDb, found.inBandMinDb]).toEqual(
      Array.from({ length: 5 }, () => Number.NaN),
    )
    expect(found.inBandDb).toHaveLength(10)
  })

  it('is none where the noise has no lines', () => {
    const found = levels(string, [], [])
    expect(found.foreignHz).toBeNaN()
    expect(found.foreignCents).toBeNaN()
  })
})

describe('outcomes', () => {
  const study = parseStudy({
    ...{ strings: ['E2'], rooms: ['white'], snrsDb: [10], repeats: 1, takeS: 1.2 },
    methods: ['yin', 'acf'],
  })
  const { outcomes } = openStudy(study, new Map()).run(0)
  const text = [headerOf(study, '0', 'any'), ...outcomes].map(recordLine).join('')

  it('carry the same levels for every method, and get them back from a file', () => {
    const [first, second] = outcomes
    if (first?.state !== 'scored' || second?.state !== 'scored') throw new Error('a method failed')
    expect(second.levels).toEqual(first.levels)
    expect(Math.abs((first.levels?.ratioDb ?? 0) - 10)).toBeLessThan(0.02)
    expect(first.levels?.ratioAtDb[3]).toBeNaN()
    expect(parseRun(text).outcomes).toEqual(outcomes)
  })

  it('have none in files of older runs', () => {
    const older = text.replaceAll(/,"levels":\{[^}]*\}/g, '')
    expect(older.length).toBeLessThan(text.length)
    expect(parseRun(older).outcomes.map((outcome) => outcome.state === 'scored' && outcome.levels)).toEqual([
      null,
      null,
    ])
  })
})
