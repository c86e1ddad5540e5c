import { describe, expect, it } from 'vitest'
import { Problem } from '../../src/core/problem.ts'
import { noises } from '../../src/core/scene/noises/index.ts'
import { parseScene, sceneJson } from '../../src/core/scene/parse.ts'

/** A scene file as people write it. */
const written = {
  sampleRateHz: 48000,
  durationS: 2.5,
  seed: 1,
  plucks: [{ onsetS: 0.2, firstPartialHz: 110, stiffness: 4e-5, decayS: 3, pickRatio: 0.2, glideCents: 0 }],
  noises: [{ id: 'pink', snrDb: 10 }],
}
const pluck = written.plucks[0]

function sentenceOf(json: unknown): string {
  try {
    parseScene(json)
  } catch (error) {
    if (error instanceof Problem) return error.sentence
    throw error
  }
  return 'nothing was refused'
}

describe('parseScene', () => {
  it('fills what a scene file leaves out', () => {
    const scene = parseScene(written)
    expect(scene).toMatchObject({ sampleRateHz: 48000, durationS: 2.5, seed: 1, room: null, noString: false })
    // Every value is the one without effect; an ideal string's levels go with 1 / k, 20 lg 2 = 6.02 dB an octave.
    expect(scene.plucks).toEqual([
      {
        ...pluck,
        ...{ highDecayRatio: 1, lateEarlyRatio: 1, glideS: 0.15, fret: 0 },
        ...{ levelDbfs: -20, firstPartialLevelDb: 0, levelSlopeDb: -20 * Math.log10(2), levelScatterDb: 0 },
        ...{ firstPartialOffsetCents: 0, partialScatterCents: 0 },
        ...{ polMix: 0, polCents: 0, polDecay: 1, attackDb: 0, attackMs: 0 },
      },
    ])
    expect(scene.noises).toEqual([{ id: 'pink', values: {}, snrDb: 10 }])
  })
  it('gives absent fields no effect', () => {
    const [bare] = parseScene({ plucks: [{ firstPartialHz: 82.4 }] }).plucks
    expect(bare).toMatchObject({ stiffness: 0, decayS: Number.POSITIVE_INFINITY, pickRatio: 0, glideCents: 0 })
  })
  it('gives a kind its usual values, under what the scene says itself', () => {
    const [pluck] = parseScene({ plucks: [{ kind: 'bass', firstPartialHz: 41.2, decayS: 20 }] }).plucks
    expect(pluck).toMatchObject({ kind: 'bass', decayS: 20, levelSlopeDb: -5, firstPartialOffsetCents: -3.4 })
    // The lowest string has a weak partial 1, the others have not.
    expect(pluck).toMatchObject({ firstPartialLevelDb: -19 })
    expect(parseScene({ plucks: [{ kind: 'bass', firstPartialHz: 55 }] }).plucks[0]).toMatchObject({
      firstPartialLevelDb: 0,
    })
  })
  it('gives neighbours no ringing but what is asked for', () => {
    const strings = [{ firstPartialHz: 110 }]
    const { neighbours } = parseScene({ plucks: [{}], neighbours: { strings } })
    expect(neighbours).toMatchObject({ sympatheticDb: Number.NEGATIVE_INFINITY, drivenDb: Number.NEGATIVE_INFINITY })
    const { neighbours: usual } = parseScene({ plucks: [{}], neighbours: { kind: 'acoustic', strings, drivenDb: -10 } })
    expect(usual).toMatchObject({ sympatheticDb: -22, drivenDb: -10, detuneCents: 3, damped: false })
  })
  it('reads recorded strings, rooms and a string that is taken away', () => {
    const scene = parseScene({
      plucks: [{ onsetS: 0.5, recording: 'open-e' }],
      room: {
        parts: [
          { id: 'hum', mainsHz: 60, levelDb: -3 },
          { id: 'recorded', recording: 'hall' },
        ],
        snrDb: 0,
      },
      noString: true,
    })
    expect(scene.plucks).toEqual([{ onsetS: 0.5, recording: 'open-e' }])
    expect(scene.room).toEqual({
      parts: [
        { id: 'hum', values: { mainsHz: 60, harmonics: 20, slopeDb: -6 }, levelDb: -3 },
        { id: 'recorded', values: { fromS: 0, withinS: 0 }, recording: 'hall', levelDb: 0 },
      ],
      snrDb: 0,
    })
    expect(scene.noString).toBe(true)
  })

  const cases: readonly [string, unknown, string][] = [
    [
      'a level above its limit',
      { ...written, noises: [{ id: 'pink', snrDb: 400 }] },
      'noises.0.snrDb: 400 is above 120 dB',
    ],
    [
      'a level below its limit',
      { ...written, noises: [{ id: 'pink', snrDb: -61 }] },
      'noises.0.snrDb: -61 is below -60 dB',
    ],
    ['a noise without a level', { ...written, noises: [{ id: 'pink' }] }, 'noises.0.snrDb: is missing'],
    ['a level in words', { ...written, noises: [{ id: 'pink', snrDb: '10' }] }, 'noises.0.snrDb: "10" is not a number'],
    [
      'a noise nobody knows',
      { ...written, noises: [{ id: 'brown', snrDb: 1 }] },
      `noises.0.id: no noise "brown"; known are ${noises.map((noise) => noise.id).join(', ')}`,
    ],
    ['a noise without id', { ...written, noises: [{ snrDb: 1 }] }, 'noises.0.id: is missing (string)'],
    [
      'a field of another noise',
      { ...written, noises: [{ id: 'hum', snrDb: 1, talkers: 3 }] },
      'noises.0.talkers: no such setting; known are mainsHz, harmonics, slopeDb',
    ],
    [
      'a field above its limit',
      { ...written, noises: [{ id: 'hum', snrDb: 1, mainsHz: 500 }] },
      'noises.0.mainsHz: 500 is above 400 Hz',
    ],
    [
      'half a harmonic',
      { ...written, noises: [{ id: 'hum', snrDb: 1, harmonics: 2.5 }] },
      'noises.0.harmonics: 2.5 is not a whole number',
    ],
    [
      'a recording that is missing',
      { ...written, noises: [{ id: 'recorded', snrDb: 1 }] },
      'noises.0.recording: is missing',
    ],
    [
      'a recording for what plays none',
      { ...written, noises: [{ id: 'pink', snrDb: 1, recording: 'hall' }] },
      'noises.0.recording: pink plays no recording',
    ],
    ['a target below hearing', { ...written, targetHz: 14 }, 'targetHz: 14 is below 15 Hz'],
    ['a target that is a note name', { ...written, targetHz: 'A2' }, 'targetHz: "A2" is not a number'],
    ['a low rate', { ...written, sampleRateHz: 4000 }, 'sampleRateHz: 4000 is below 8000 Hz'],
    ['a high rate', { ...written, sampleRateHz: 384000 }, 'sampleRateHz: 384000 is above 192000 Hz'],
    ['half a hertz', { ...written, sampleRateHz: 44100.5 }, 'sampleRateHz: 44100.5 is not a whole number'],
    ['a short take', { ...written, durationS: 0.01 }, 'durationS: 0.01 is below 0.05 s'],
    ['an endless take', { ...written, durationS: 601 }, 'durationS: 601 is above 600 s'],
    ['a negative seed', { ...written, seed: -1 }, 'seed: -1 is below 0'],
    [
      'a misspelt pluck',
      { ...written, plucks: [{ ...pluck, firstPartialHZ: 110 }] },
      'plucks.0.firstPartialHZ: no such setting; known are onsetS, firstPartialHz, stiffness, decayS, highDecayRatio, lateEarlyRatio, pickRatio, levelDbfs, firstPartialLevelDb, levelSlopeDb, levelScatterDb, firstPartialOffsetCents, partialScatterCents, glideCents, glideS, polMix, polCents, polDecay, attackDb, attackMs, fret',
    ],
    [
      'an unknown kind',
      { plucks: [{ kind: 'harp' }] },
      'plucks.0.kind: Invalid option: expected one of "acoustic"|"nylon"|"electric"|"bass"',
    ],
    ['half a fret', { plucks: [{ fret: 1.5 }] }, 'plucks.0.fret: 1.5 is not a whole number'],
    [
      'a level that is no number',
      { plucks: [{ partialLevelsDb: [0, '1'] }] },
      'plucks.0.partialLevelsDb.1: "1" is not a number',
    ],
    ['a decay below its limit', { plucks: [{ partialDecaysS: [0] }] }, 'plucks.0.partialDecaysS.0: 0 is below 0.005 s'],
    ['neighbours without strings', { plucks: [{}], neighbours: {} }, 'neighbours.strings: is missing (array)'],
    [
      'a neighbour with a misspelt setting',
      { plucks: [{}], neighbours: { strings: [{ hz: 1 }] } },
      'neighbours.strings.0.hz: no such setting; known are firstPartialHz, stiffness, decayS, highDecayRatio',
    ],
    [
      'ringing above its limit',
      { plucks: [{}], neighbours: { strings: [], sympatheticDb: 1 } },
      'neighbours.sympatheticDb: 1 is above 0 dB',
    ],
    [
      'a body of no known kind',
      { plucks: [{}], body: 'harp' },
      'body: Invalid option: expected one of "acoustic"|"solid"',
    ],
    [
      'a body setting below its limit',
      { plucks: [{}], body: { id: 'solid', quality: 1 } },
      'body.quality: 1 is below 5',
    ],
    [
      'a sensor nobody knows',
      { plucks: [{}], sensor: { id: 'ear' } },
      'sensor.id: no sensor "ear"; known are none, magnetic, under-saddle, microphone, headstock',
    ],
    ['a misspelt scene', { ...written, sampleRate: 48000 }, 'no such setting: sampleRate'],
    [
      'a pitch below hearing',
      { ...written, plucks: [{ ...pluck, firstPartialHz: 14 }] },
      'plucks.0.firstPartialHz: 14 is below 15 Hz',
    ],
    [
      'an onset behind the end',
      { ...written, plucks: [{ ...pluck, onsetS: 2.5 }] },
      'plucks.0.onsetS: 2.5 is not before the end of the take, 2.5 s',
    ],
    [
      'settings beside a recording',
      { ...written, plucks: [{ recording: 'a', stiffness: 0 }] },
      'plucks.0.stiffness: no such setting; known are onsetS',
    ],
    [
      'no pluck',
      { ...written, plucks: [] },
      'plucks: there is none; a take without a string still needs one to set its level (noString: true)',
    ],
    ['plucks that are missing', { durationS: 1 }, 'plucks: is missing (array)'],
    ['plucks that are no list', { ...written, plucks: pluck }, 'plucks: is not of type array'],
    ['a pluck that is a number', { ...written, plucks: [7] }, 'plucks.0: is not of type object'],
    ['a room without noises', { ...written, room: { parts: [], snrDb: 3 } }, 'room.parts: there is none'],
    ['a room without a level', { ...written, room: { parts: [{ id: 'pink' }] } }, 'room.snrDb: is missing'],
    [
      'a room with a misspelt key',
      { ...written, room: { parts: [{ id: 'pink' }], snrDB: 3 } },
      'room: no such setting: snrDB',
    ],
    [
      'a weight above its limit',
      { ...written, room: { parts: [{ id: 'pink', levelDb: 130 }], snrDb: 3 } },
      'room.parts.0.levelDb: 130 is above 120 dB',
    ],
    ['a word for a yes', { ...written, noString: 'yes' }, 'noString: is not of type boolean'],
    ['no object', 7, 'is not of type object'],
    ['nothing', null, 'is not of type object'],
    ['a list', [], 'is not of type object'],
  ]
  it.each(cases)('refuses %s', (_, json, sentence) => {
    expect(sentenceOf(json)).toBe(sentence)
  })
})

describe('sceneJson', () => {
  it.each([
    ['the plain scene', written],
    ['a note in hand', { ...written, targetHz: 110.5 }],
    [
      'strings, neighbours, body and sensor of an instrument',
      {
        plucks: [
          { kind: 'bass', firstPartialHz: 41.2, polMix: 0 },
          { firstPartialHz: 82.4, partialLevelsDb: [-3, 0], partialDecaysS: [4], partialOffsetsCents: [0, 1.5] },
        ],
        stringSeed: 99,
        body: { id: 'acoustic', impedanceKgPerS: 0.7 },
        neighbours: { strings: [{ firstPartialHz: 110, decayS: 4 }], drivenDb: -30, damped: true },
        sensor: { id: 'magnetic', humDb: -30 },
      },
    ],
    ['strings that sound for ever', { plucks: [{ firstPartialHz: 82.4 }, { onsetS: 1, recording: 'open-e' }] }],
    [
      'a room',
      {
        plucks: [{}],
        room: {
          parts: [
            { id: 'stage', tempoPerMin: 90, levelDb: -3 },
            { id: 'recorded', recording: 'hall' },
          ],
          snrDb: -4.5,
        },
        noString: true,
      },
    ],
  ])('is read back as the same scene: %s', (_, json) => {
    const scene = parseScene(json)
    const through = JSON.parse(JSON.stringify(sceneJson(scene))) as unknown
    expect(parseScene(through)).toEqual(scene)
  })
})
