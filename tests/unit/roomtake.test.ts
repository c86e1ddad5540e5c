/** A room take as a file: there and back bit for bit, and every part that does not fit is refused by name. */
import { strFromU8, strToU8, unzipSync, zipSync } from 'fflate'
import { describe, expect, it } from 'vitest'
import { type RoomTake, sha256, type TakeHead } from '../../src/app/room/take.ts'
import { takeOfZip, zipOfTake } from '../../src/app/room/takezip.ts'
import { readWav } from '../../src/core/scene/wav.ts'

const noise = Float32Array.of(0, 0.5, -0.25, 1e-8, -1)
const pluck = Float32Array.of(0.1, -0.2, 0.3)

async function sample(): Promise<RoomTake> {
  const head: TakeHead = {
    schema: 1,
    id: 'take-20261125-190000',
    title: 'Ring side, after the horses',
    madeAt: '2026-11-25T19:00:00.000Z',
    sampleRateHz: 44100,
    instrument: 'strongmans-bass',
    path: 'pickup',
    processed: 'unknown',
    madeUp: true,
    version: '0.1.0',
    parts: [
      {
        ...{ name: 'noise', kind: 'noise', string: null, targetHz: null, samples: 5, startSample: 12 },
        ...{ lostSamples: 0, overloaded: false, sha256: await sha256(noise) },
      },
      {
        ...{ name: 'e1-1', kind: 'pluck', string: 'E1', targetHz: 41.2, samples: 3, startSample: 900 },
        ...{ lostSamples: 960, overloaded: true, sha256: await sha256(pluck) },
      },
    ],
  }
  return {
    head,
    samples: new Map([
      ['noise', noise],
      ['e1-1', pluck],
    ]),
  }
}

/** The zip with one of its files changed; null leaves it out. */
async function changed(name: string, change: (bytes: Uint8Array) => Uint8Array | null): Promise<Uint8Array> {
  const files = unzipSync(zipOfTake(await sample()))
  const next = change(files[name] ?? new Uint8Array())
  const { [name]: _, ...others } = files
  return zipSync(next === null ? others : { ...others, [name]: next })
}

const changedHead = (change: (head: Record<string, unknown>) => void): Promise<Uint8Array> =>
  changed('take.json', (bytes) => {
    const head = JSON.parse(strFromU8(bytes)) as Record<string, unknown>
    change(head)
    return strToU8(JSON.stringify(head))
  })

describe('a room take as a file', () => {
  it('comes back as it was', async () => {
    const take = await sample()
    const back = await takeOfZip(zipOfTake(take))
    expect(back.head).toEqual(take.head)
    expect([...back.samples]).toEqual([...take.samples])
  })

  it('holds WAV files of its rate', async () => {
    const { sampleRateHz, channels } = readWav(unzipSync(zipOfTake(await sample()))['e1-1.wav'], '')
    expect(sampleRateHz).toBe(44100)
    expect(channels).toEqual([pluck])
  })

  it('knows the hash of its samples', async () => {
    // FIPS 180-4 defines SHA-256; that of no bytes at all is in its examples (NIST CAVP, byte-oriented, Len = 0).
    expect(await sha256(new Float32Array())).toBe('e3b0c44298fc1c149afbf4c8996fb92427ae41e4649b934ca495991b7852b855')
  })

  it('refuses what is no zip, or no take', async () => {
    await expect(takeOfZip(strToU8('RIFF'))).rejects.toThrow('is no zip file, or is cut off')
    await expect(takeOfZip(zipSync({ 'a.txt': strToU8('a') }))).rejects.toThrow('holds no take.json')
  })

  it.each([
    ['a sample that was changed', 'noise.wav', (bytes: Uint8Array) => bytes.with(bytes.length - 1, 0), 'was changed'],
    ['a part that is missing', 'e1-1.wav', () => null, 'is missing'],
    ['a part that is cut off', 'e1-1.wav', (bytes: Uint8Array) => bytes.slice(0, -4), 'is truncated'],
    ['a head that is no JSON', 'take.json', () => strToU8('{'), 'is no JSON'],
  ])('refuses %s', async (_, name, change, words) => {
    await expect(takeOfZip(await changed(name, change))).rejects.toMatchObject({
      name: 'Problem',
      where: name,
      message: expect.stringContaining(words),
    })
  })

  it('names field, value and limit of a head that does not fit', async () => {
    const rate = await changedHead((head) => {
      head.sampleRateHz = 4000
    })
    await expect(takeOfZip(rate)).rejects.toMatchObject({ where: 'take.json.sampleRateHz' })
    const longer = await changedHead((head) => {
      ;(head.parts as { samples: number }[])[0].samples = 61 * 44100
    })
    await expect(takeOfZip(longer)).rejects.toMatchObject({
      where: 'take.json.parts.0.samples',
      message: '61.0 s is above 60 s',
    })
    const twice = await changedHead((head) => {
      ;(head.parts as { name: string }[])[1].name = 'noise'
    })
    await expect(takeOfZip(twice)).rejects.toMatchObject({ message: '"noise" names two parts' })
  })
})
