import { describe, expect, it } from 'vitest'
import { Problem } from '../../src/core/problem.ts'
import { readWav, writeWav } from '../../src/core/scene/wav.ts'

/** Little-endian bytes by hand: words as text, `short` and `long` as numbers. */
const text = (word: string): number[] => [...word].map((letter) => letter.charCodeAt(0))
const short = (value: number): number[] => [value & 255, (value >> 8) & 255]
const long = (value: number): number[] => [...short(value & 65535), ...short(value >>> 16)]

interface Header {
  readonly tag?: number
  readonly channels?: number
  readonly rateHz?: number
  readonly bits?: number
  readonly bytesPerSecond?: number
  readonly frameBytes?: number
  readonly more?: readonly number[]
}

function formatChunk(header: Header): number[] {
  const { tag = 1, channels = 1, rateHz = 48000, bits = 16, more = [] } = header
  const frameBytes = header.frameBytes ?? (channels * bits) / 8
  const bytesPerSecond = header.bytesPerSecond ?? rateHz * frameBytes
  const body = [
    short(tag),
    short(channels),
    long(rateHz),
    long(bytesPerSecond),
    short(frameBytes),
    short(bits),
    more,
  ].flat()
  return [...text('fmt '), ...long(body.length), ...body]
}

const dataChunk = (data: readonly number[], says = data.length): number[] => [...text('data'), ...long(says), ...data]

function riff(...chunks: readonly (readonly number[])[]): Uint8Array {
  const body = [...text('WAVE'), ...chunks.flat()]
  return Uint8Array.from([...text('RIFF'), ...long(body.length), ...body])
}

const wav = (header: Header, data: readonly number[]): Uint8Array => riff(formatChunk(header), dataChunk(data))

/** WAVE_FORMAT_EXTENSIBLE: 22 more bytes, valid bits, speaker mask, then the GUID whose first two bytes are the tag. */
const guidTail = [0, 0, 0, 0, 16, 0, 0x80, 0, 0, 0xaa, 0, 0x38, 0x9b, 0x71]
const extensible = (tag: number, bits: number, validBits = bits, tail = guidTail): Header => ({
  tag: 0xfffe,
  bits,
  more: [...short(22), ...short(validBits), ...long(4), ...short(tag), ...tail],
})

const floatBytes = (...values: number[]): number[] => [...new Uint8Array(Float32Array.from(values).buffer)]

describe('reading a WAV file', () => {
  it('knows 16-bit PCM', () => {
    const { sampleRateHz, channels } = readWav(wav({ rateHz: 44100 }, [0, 0, 0, 0x40, 0, 0x80, 0xff, 0x7f]), 'a.wav')
    expect(sampleRateHz).toBe(44100)
    expect(channels.map((channel) => [...channel])).toEqual([[0, 0.5, -1, 32767 / 32768]])
  })
  it('knows 24-bit PCM', () => {
    const data = [0, 0, 0x40, 0, 0, 0x80, 1, 0, 0, 0xff, 0xff, 0xff]
    const [samples] = readWav(wav({ bits: 24 }, data), 'a.wav').channels
    expect([...samples]).toEqual([0.5, -1, 2 ** -23, -(2 ** -23)])
  })
  it('knows 32-bit float, beyond full scale too', () => {
    const [samples] = readWav(wav({ tag: 3, bits: 32 }, floatBytes(0.1, -7.5, 0)), 'a.wav').channels
    expect([...samples]).toEqual([Math.fround(0.1), -7.5, 0])
  })
  it('knows the extensible form of all three', () => {
    expect([...readWav(wav(extensible(1, 16), [0, 0x40]), '').channels[0]]).toEqual([0.5])
    expect([...readWav(wav(extensible(1, 24), [0, 0, 0x40]), '').channels[0]]).toEqual([0.5])
    expect([...readWav(wav(extensible(3, 32), floatBytes(0.25)), '').channels[0]]).toEqual([0.25])
    // 20 valid bits stand at the top of 24: the value is the same.
    expect([...readWav(wav(extensible(1, 24, 20), [0, 0, 0x40]), '').channels[0]]).toEqual([0.5])
  })
  it('takes channels apart', () => {
    const { channels } = readWav(wav({ channels: 2 }, [0, 0x40, 0, 0x80, 0, 0x20, 0, 0xc0]), '')
    expect(channels.map((channel) => [...channel])).toEqual([
      [0.5, 0.25],
      [-1, -0.5],
    ])
  })
  it('passes over chunks it does not need, odd ones with their padding', () => {
    const list = [...text('LIST'), ...long(3), 1, 2, 3, 0]
    const bytes = riff(list, formatChunk({}), list, dataChunk([0, 0x40]), list)
    expect([...readWav(bytes, '').channels[0]]).toEqual([0.5])
  })
  it('reads from the middle of a larger buffer', () => {
    const bytes = wav({}, [0, 0x40])
    const larger = new Uint8Array(bytes.length + 7)
    larger.set(bytes, 5)
    expect([...readWav(larger.subarray(5, 5 + bytes.length), '').channels[0]]).toEqual([0.5])
  })
})

describe('writing a WAV file', () => {
  it('keeps every bit of every sample', () => {
    const samples = Float32Array.of(0, -0, 1, -1, 1e-30, 3.4e38, 0.1, 2 ** -149)
    const { sampleRateHz, channels } = readWav(writeWav(samples, 192000), '')
    expect(sampleRateHz).toBe(192000)
    expect(new Uint8Array(channels[0].buffer)).toEqual(new Uint8Array(samples.buffer))
  })
  it('writes the header that the format asks for', () => {
    const bytes = writeWav(Float32Array.of(0.5), 48000)
    const wanted = [
      ...[text('RIFF'), long(54), text('WAVE')],
      ...[text('fmt '), long(18), short(3), short(1), long(48000), long(192000), short(4), short(32), short(0)],
      ...[text('fact'), long(4), long(1)],
      ...[text('data'), long(4), floatBytes(0.5)],
    ].flat()
    expect([...bytes]).toEqual(wanted)
  })
})

describe('a WAV file that cannot be read exactly is refused by name:', () => {
  const good = wav({}, [0, 0x40, 0, 0])
  const cases: readonly [string, Uint8Array, string][] = [
    ['nothing in it', new Uint8Array(), 'is empty'],
    ['another file', Uint8Array.from(text('fLaC and more of it')), 'is no WAV file: it does not begin with "RIFF"'],
    ['a cut header', good.subarray(0, 9), 'is truncated: 9 bytes do not hold a WAV header'],
    [
      'big-endian',
      Uint8Array.from([...text('RIFX'), ...good.subarray(4)]),
      'is a big-endian WAV file (RIFX); only little-endian ones are read',
    ],
    [
      '64-bit',
      Uint8Array.from([...text('RF64'), ...good.subarray(4)]),
      'is a 64-bit WAV file (RF64); only RIFF ones are read',
    ],
    [
      'another RIFF',
      Uint8Array.from([...good.subarray(0, 8), ...text('AVI '), ...good.subarray(12)]),
      'is no WAV file: "WAVE" is missing, it says "AVI "',
    ],
    ['no format', riff(dataChunk([0, 0])), 'has no "fmt " chunk'],
    ['no data', riff(formatChunk({})), 'has no "data" chunk'],
    ['a cut format', good.subarray(0, 30), 'is truncated: its "fmt " chunk says 16 bytes, 10 are there'],
    ['cut data', good.subarray(0, good.length - 1), 'is truncated: its "data" chunk says 4 bytes, 3 are there'],
    [
      'data longer than the file',
      riff(formatChunk({}), dataChunk([0, 0], 1000)),
      'is truncated: its "data" chunk says 1000 bytes, 2 are there',
    ],
    [
      'a stream of unknown length',
      riff(formatChunk({}), dataChunk([0, 0], 0xffffffff)),
      'is truncated: its "data" chunk says 4294967295 bytes, 2 are there',
    ],
    ['no samples', wav({}, []), 'holds no samples'],
    [
      'a short format',
      riff([...text('fmt '), ...long(14), ...Array(14).fill(0)], dataChunk([0, 0])),
      'is mislabelled: its "fmt " chunk has 14 bytes, at least 16 are needed',
    ],
    ['8 bits', wav({ bits: 8 }, [0]), 'is 8-bit PCM; only 16- and 24-bit PCM and 32-bit float are read'],
    ['32-bit PCM', wav({ bits: 32 }, [0, 0, 0, 0]), 'is 32-bit PCM; only 16- and 24-bit PCM and 32-bit float are read'],
    [
      '64-bit float',
      wav({ tag: 3, bits: 64 }, Array(8).fill(0)),
      'is 64-bit float; only 16- and 24-bit PCM and 32-bit float are read',
    ],
    ['A-law', wav({ tag: 6, bits: 8 }, [0]), 'is 8-bit A-law; only 16- and 24-bit PCM and 32-bit float are read'],
    ['mu-law', wav({ tag: 7, bits: 8 }, [0]), 'is 8-bit mu-law; only 16- and 24-bit PCM and 32-bit float are read'],
    [
      'ADPCM',
      wav({ tag: 2, bits: 4, frameBytes: 1 }, [0]),
      'is 4-bit ADPCM; only 16- and 24-bit PCM and 32-bit float are read',
    ],
    [
      'an unheard-of tag',
      wav({ tag: 4711 }, [0, 0]),
      'is 16-bit format 4711; only 16- and 24-bit PCM and 32-bit float are read',
    ],
    [
      'extensible A-law',
      wav(extensible(6, 8), [0]),
      'is 8-bit A-law; only 16- and 24-bit PCM and 32-bit float are read',
    ],
    [
      'an unknown sub-format',
      wav(extensible(1, 16, 16, Array(14).fill(9)), [0, 0]),
      'is of an unknown extensible sub-format',
    ],
    [
      'a short extension',
      wav({ tag: 0xfffe }, [0, 0]),
      'is mislabelled: an extensible "fmt " chunk has 40 bytes, this one 16',
    ],
    ['too many valid bits', wav(extensible(1, 16, 24), [0, 0]), 'is mislabelled: 24 valid bits do not fit into 16'],
    ['no channels', wav({ channels: 0, frameBytes: 2 }, [0, 0]), 'says it has no channels'],
    ['no rate', wav({ rateHz: 0 }, [0, 0]), 'says its sample rate is 0 Hz'],
    [
      'frames of another size',
      wav({ frameBytes: 4 }, [0, 0, 0, 0]),
      'is mislabelled: 1 channels of 16 bits make 2 bytes a frame, it says 4',
    ],
    [
      'another speed',
      wav({ bytesPerSecond: 88200 }, [0, 0]),
      'is mislabelled: 48000 Hz of 2-byte frames make 96000 bytes a second, it says 88200',
    ],
    [
      'half a frame',
      wav({ channels: 2 }, [0, 0]),
      'is mislabelled: 2 bytes of data are no whole number of 4-byte frames',
    ],
    ['no number', wav({ tag: 3, bits: 32 }, floatBytes(0, Number.NaN)), 'sample 1 of channel 1 is no finite number'],
    [
      'an infinite number',
      wav({ tag: 3, bits: 32 }, floatBytes(Number.NEGATIVE_INFINITY)),
      'sample 0 of channel 1 is no finite number',
    ],
  ]
  it.each(cases)('%s', (_, bytes, sentence) => {
    let caught: unknown
    try {
      readWav(bytes, 'string.wav')
    } catch (error) {
      caught = error
    }
    expect(caught).toBeInstanceOf(Problem)
    expect((caught as Problem).sentence).toBe(`string.wav: ${sentence}`)
  })
})
