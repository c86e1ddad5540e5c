/**
 * A bare scene stays what it was: fields that came later have no effect where they are absent. The hashes are those of the
 * generator before it knew bodies, neighbours, sensors and bent partials; a change here changes every published figure.
 */
import { createHash } from 'node:crypto'
import { describe, expect, it } from 'vitest'
import { parseScene } from '../../src/core/scene/parse.ts'
import { render } from '../../src/core/scene/render.ts'

const plain = { onsetS: 0.2, firstPartialHz: 110, stiffness: 4e-5, decayS: 3, pickRatio: 0.2, glideCents: 0 }
const gliding = { ...plain, firstPartialHz: 82.41, highDecayRatio: 0.5, pickRatio: 0.13, glideCents: 3, glideS: 0.15 }

const hashOf = (samples: Float32Array): string =>
  createHash('sha256').update(new Uint8Array(samples.buffer)).digest('hex').slice(0, 16)

function hashes(given: object): string[] {
  const { clean, noise, take } = render(parseScene({ durationS: 1.2, seed: 7, ...given }), new Map())
  return [clean, noise, take.samples].map(hashOf)
}

describe('a bare scene', () => {
  const cases: readonly [string, object, string[]][] = [
    [
      'of one plain pluck in pink noise',
      { plucks: [plain], noises: [{ id: 'pink', snrDb: 10 }] },
      ['08ca25a2f2a3f5f5', 'b4bb4ede83b5dd3c', '52446dee2cd43a58'],
    ],
    [
      'of a gliding pluck in white noise',
      { plucks: [gliding], noises: [{ id: 'white', snrDb: 0 }] },
      ['d682bbb4bec1e6a4', '8315f27bcce5d601', '82edcf78b107ef3a'],
    ],
    [
      'of a string for ever, without noise',
      { plucks: [{ firstPartialHz: 196 }] },
      ['8a5b2727d448febb', '2a589ae1f2fa2a63', '8a5b2727d448febb'],
    ],
    [
      'of two plucks in a room at another rate',
      {
        sampleRateHz: 44100,
        plucks: [plain, { ...gliding, onsetS: 0.1234567, glideCents: -9 }],
        room: {
          parts: [
            { id: 'hum', levelDb: -3 },
            { id: 'babble', levelDb: 0 },
            { id: 'stage', levelDb: -6 },
          ],
          snrDb: 3,
        },
      },
      ['a9b3c7e494d6a7f9', '2c6617a2be1bb81a', '15774253f551ffe3'],
    ],
  ]
  it.each(cases)('%s is bit for bit the same', (_, given, wanted) => {
    expect(hashes(given)).toEqual(wanted)
  })
})
