/** A recording that stands for itself in a room: its own level from second to second, its place, and how it is learnt. */
import { describe, expect, it } from 'vitest'
import { randomStream } from '../../src/core/maths/random.ts'
import { parseScene, sceneJson } from '../../src/core/scene/parse.ts'
import { meanSquareOfFirstSecond, render, roomSpectrum } from '../../src/core/scene/render.ts'
import type { RoomPart } from '../../src/core/scene/scene.ts'
import { parseStudy } from '../../src/core/study/parse.ts'
import { openStudy, trialAt } from '../../src/core/study/trial.ts'
import { sceneOf } from '../../src/core/study/trialscene.ts'

const sampleRateHz = 8000

/** Four seconds of white noise, the last two ten times as strong: 4 s at a mean square of (1 + 1 + 100 + 100) / 4 = 50.5. */
const random = randomStream(7, 'steps')
const samples = Float32Array.from(
  { length: 4 * sampleRateHz },
  (_, i) => random.gaussian() * (i < 2 * sampleRateHz ? 1 : 10),
)
const recording = { id: 'steps', sampleRateHz, samples, onsetS: Number.NaN, f1Hz: Number.NaN }
const recordings = new Map([[recording.id, recording]])

const part = (fromS: number, asRecorded: boolean): RoomPart => ({
  ...{ id: 'recorded', levelDb: 0, recording: 'steps', values: { fromS, withinS: 0.2 } },
  ...(asRecorded ? { asRecorded: true as const } : {}),
})
const sceneIn = (one: RoomPart) =>
  parseScene({
    ...{ sampleRateHz, durationS: 1.5, seed: 3, plucks: [{ onsetS: 0.3, firstPartialHz: 110, decayS: 2 }] },
    room: { parts: [{ ...one, ...one.values, values: undefined }], snrDb: 6 },
  })

function ratioDb(one: RoomPart): number {
  const scene = sceneIn(one)
  const { clean, noise } = render(scene, recordings)
  return 10 * Math.log10(meanSquareOfFirstSecond(clean, scene) / meanSquareOfFirstSecond(noise, scene))
}

describe('a recording as a room', () => {
  it('is set in the second after the pluck unless it stands for itself', () => {
    expect(ratioDb(part(0, false))).toBeCloseTo(6, 2)
    expect(ratioDb(part(2, false))).toBeCloseTo(6, 2)
  })

  it('is as loud in that second as it was, re its mean, where it stands for itself', () => {
    // 8000 samples of noise know their power to 10 lg(1 + sqrt(2 / 8000)) = 0.07 dB, the recording's mean to as much: 5 of both.
    expect(Math.abs(ratioDb(part(0, true)) - (6 + 10 * Math.log10(50.5)))).toBeLessThan(0.5)
    expect(Math.abs(ratioDb(part(2, true)) - (6 + 10 * Math.log10(50.5 / 100)))).toBeLessThan(0.5)
  })

  it('is learnt whole, where it stands for itself', () => {
    // A tone in the last 2 of 12 s: none of the first 5 s hold it.
    const long = Float32Array.from({ length: 12 * sampleRateHz }, (_, i) =>
      i < 10 * sampleRateHz ? 0.1 * random.gaussian() : Math.sin((2 * Math.PI * 1000 * i) / sampleRateHz),
    )
    const held = new Map([['steps', { ...recording, samples: long }]])
    const shareNearTone = (one: RoomPart): number => {
      const { density, binHz } = roomSpectrum([one], sampleRateHz, 1, held)
      return density.reduce((sum, value, bin) => sum + (Math.abs(bin * binHz - 1000) < 20 ? value * binHz : 0), 0)
    }
    // Noise: 10 s of 0.01, of which 1 in 100 lies within 20 Hz. Tone: 2 s of 1/2.
    expect(shareNearTone(part(0, true))).toBeGreaterThan(0.8)
    expect(shareNearTone(part(0, false))).toBeLessThan(0.05)
  })

  it('is written and read back, and refused of a noise that plays nothing', () => {
    const scene = sceneIn(part(2, true))
    expect(parseScene(JSON.parse(JSON.stringify(sceneJson(scene))))).toEqual(scene)
    const room = { parts: [{ id: 'white', asRecorded: true }], snrDb: 0 }
    expect(() => parseScene({ ...sceneJson(scene), room })).toThrow('white plays no recording')
  })
})

describe('a string of a study', () => {
  const study = {
    sampleRateHz,
    strings: [
      {
        id: 'own',
        targetHz: 110,
        overStudyDb: -4,
        partials: { partialLevelsDb: [0, -6], partialDecaysS: [2, 1], partialOffsetsCents: [1, -1] },
      },
    ],
    rooms: ['white'],
    snrsDb: [10],
    methods: ['yin'],
  }
  it('has partials one by one and a ratio of its own', () => {
    const read = parseStudy(study)
    const scene = sceneOf(read, read.strings[0], read.rooms[0], trialAt(read, 0))
    expect(scene.plucks[0]).toMatchObject(study.strings[0]?.partials ?? {})
    expect(scene.room?.snrDb).toBe(6)
  })
  it('is refused with a partial beyond its limits', () => {
    const [string] = study.strings
    const wrong = { ...study, strings: [{ ...string, partials: { partialDecaysS: [0] } }] }
    expect(() => parseStudy(wrong)).toThrow('is below 0.005')
  })
})

describe('a study that listens until the claim', () => {
  it('claims as the same study that listens on', () => {
    const whole = parseStudy({
      ...{ sampleRateHz, strings: ['A2'], rooms: ['white'], snrsDb: [0, 20], repeats: 4, takeS: 1.5 },
      methods: ['yin', 'partial-fit'].map((id) => ({ id, values: { window: 1024, hop: 128 } })),
    })
    const claims = (study: typeof whole) => {
      const opened = openStudy(study, new Map())
      return Array.from({ length: opened.trialCount }, (_, index) => opened.run(index).outcomes)
        .flat()
        .map((outcome) => {
          if (outcome.state === 'failed') return outcome.problem
          const { claim, lockS, claimCents, readings } = outcome.score
          return { claim, lockS, claimCents, readings }
        })
    }
    const [full, short] = [claims(whole), claims({ ...whole, untilClaim: true })]
    const told = (all: typeof full) => all.map((one) => ({ ...one, readings: 0 }))
    expect(told(short)).toEqual(told(full))
    expect(full.some((one) => 'claim' in one && one.claim === 'true')).toBe(true)
    const heard = (all: typeof full): number =>
      all.reduce((sum, one) => sum + ('readings' in one ? one.readings : 0), 0)
    expect(heard(short)).toBeLessThan(heard(full))
    expect(parseStudy(JSON.parse(JSON.stringify({ ...whole, untilClaim: true })))).toEqual({
      ...whole,
      untilClaim: true,
    })
  })
})
