/**
 * WAV files read and written byte by byte: browsers resample what they decode without saying so.
 *
 * RIFF/WAVE (IBM & Microsoft 1991, "Multimedia Programming Interface and Data Specifications 1.0") with PCM of 16 and 24 bits,
 * 32-bit IEEE float, and WAVE_FORMAT_EXTENSIBLE of those. Everything else is refused by name, and so is a file whose header
 * contradicts itself or its length: a wrong rate would be a wrong pitch.
 */
import { Problem } from '../problem.ts'

export interface Wav {
  readonly sampleRateHz: number
  /** At least one, all of the same length, full scale 1. */
  readonly channels: readonly Float32Array[]
}

interface Chunk {
  readonly id: string
  readonly from: number
  readonly size: number
}

interface Format {
  readonly kind: 'pcm16' | 'pcm24' | 'float32'
  readonly channelCount: number
  readonly sampleRateHz: number
  readonly frameBytes: number
}

const pcmTag = 1
const floatTag = 3
const extensibleTag = 0xfffe

/** Registered tags that people meet (Microsoft mmreg.h). */
const nameOfTag: Readonly<Record<number, string>> = {
  2: 'ADPCM',
  6: 'A-law',
  7: 'mu-law',
  17: 'IMA ADPCM',
  49: 'GSM 6.10',
  80: 'MPEG audio',
  85: 'MPEG layer 3',
}

/** The tail that turns a tag into a sub-format GUID: 0000-0010-8000-00AA00389B71. */
const guidTail = [0x00, 0x00, 0x00, 0x00, 0x10, 0x00, 0x80, 0x00, 0x00, 0xaa, 0x00, 0x38, 0x9b, 0x71]

/**
 * @param where what the caller calls the file, for the Problem.
 * @throws Problem for everything that cannot be read exactly.
 */
export function readWav(bytes: Uint8Array, where: string): Wav {
  const refuse = (what: string): never => {
    throw new Problem(what, where)
  }
  if (bytes.length === 0) return refuse('is empty')
  const view = new DataView(bytes.buffer, bytes.byteOffset, bytes.byteLength)
  const word = (at: number): string => String.fromCharCode(...bytes.subarray(at, at + 4))
  if (word(0) === 'RIFX') return refuse('is a big-endian WAV file (RIFX); only little-endian ones are read')
  if (word(0) === 'RF64' || word(0) === 'BW64')
    return refuse(`is a 64-bit WAV file (${word(0)}); only RIFF ones are read`)
  if (word(0) !== 'RIFF') return refuse('is no WAV file: it does not begin with "RIFF"')
  if (bytes.length < 12) return refuse(`is truncated: ${bytes.length} bytes do not hold a WAV header`)
  if (word(8) !== 'WAVE') return refuse(`is no WAV file: "WAVE" is missing, it says "${printable(word(8))}"`)

  const chunks: Chunk[] = []
  for (let at = 12; at + 8 <= bytes.length; ) {
    const size = view.getUint32(at + 4, true)
    chunks.push({ id: word(at), from: at + 8, size })
    // Chunks begin at even places.
    at += 8 + size + (size % 2)
  }
  const named = (id: string): Chunk => {
    const chunk = chunks.find((each) => each.id === id)
    if (chunk === undefined) return refuse(`has no "${id}" chunk`)
    const left = bytes.length - chunk.from
    if (chunk.size > left) refuse(`is truncated: its "${id}" chunk says ${chunk.size} bytes, ${left} are there`)
    return chunk
  }
  const format = readFormat(view, named('fmt '), refuse)
  const data = named('data')
  if (data.size === 0) return refuse('holds no samples')
  if (data.size % format.frameBytes !== 0) {
    return refuse(`is mislabelled: ${data.size} bytes of data are no whole number of ${format.frameBytes}-byte frames`)
  }
  return { sampleRateHz: format.sampleRateHz, channels: readChannels(view, data, format, refuse) }
}

type Refuse = (what: string) => never

function readFormat(view: DataView, chunk: Chunk, refuse: Refuse): Format {
  if (chunk.size < 16) refuse(`is mislabelled: its "fmt " chunk has ${chunk.size} bytes, at least 16 are needed`)
  const at = chunk.from
  const outerTag = view.getUint16(at, true)
  const channelCount = view.getUint16(at + 2, true)
  const sampleRateHz = view.getUint32(at + 4, true)
  const bytesPerSecond = view.getUint32(at + 8, true)
  const frameBytes = view.getUint16(at + 12, true)
  const bits = view.getUint16(at + 14, true)
  const tag = outerTag === extensibleTag ? readSubFormat(view, chunk, bits, refuse) : outerTag
  const kind = kindOf(tag, bits)
  if (kind === null) {
    const name = tag === pcmTag ? 'PCM' : tag === floatTag ? 'float' : (nameOfTag[tag] ?? `format ${tag}`)
    refuse(`is ${bits}-bit ${name}; only 16- and 24-bit PCM and 32-bit float are read`)
  }
  if (channelCount === 0) refuse('says it has no channels')
  if (sampleRateHz === 0) refuse('says its sample rate is 0 Hz')
  const wanted = (channelCount * bits) / 8
  if (frameBytes !== wanted) {
    refuse(
      `is mislabelled: ${channelCount} channels of ${bits} bits make ${wanted} bytes a frame, it says ${frameBytes}`,
    )
  }
  if (bytesPerSecond !== sampleRateHz * frameBytes) {
    refuse(
      `is mislabelled: ${sampleRateHz} Hz of ${frameBytes}-byte frames make ${sampleRateHz * frameBytes} bytes a second, it says ${bytesPerSecond}`,
    )
  }
  return { kind: kind as Format['kind'], channelCount, sampleRateHz, frameBytes }
}

/** The tag inside WAVE_FORMAT_EXTENSIBLE. Fewer valid bits than the container has are left-justified and read as they are. */
function readSubFormat(view: DataView, chunk: Chunk, bits: number, refuse: Refuse): number {
  if (chunk.size < 40) {
    refuse(`is mislabelled: an extensible "fmt " chunk has 40 bytes, this one ${chunk.size}`)
  }
  const validBits = view.getUint16(chunk.from + 18, true)
  if (validBits > bits) refuse(`is mislabelled: ${validBits} valid bits do not fit into ${bits}`)
  const known = guidTail.every((byte, i) => view.getUint8(chunk.from + 26 + i) === byte)
  if (!known) refuse('is of an unknown extensible sub-format')
  return view.getUint16(chunk.from + 24, true)
}

function kindOf(tag: number, bits: number): Format['kind'] | null {
  if (tag === pcmTag && bits === 16) return 'pcm16'
  if (tag === pcmTag && bits === 24) return 'pcm24'
  if (tag === floatTag && bits === 32) return 'float32'
  return null
}

function readChannels(view: DataView, data: Chunk, format: Format, refuse: Refuse): Float32Array[] {
  const { kind, channelCount, frameBytes } = format
  const sampleBytes = frameBytes / channelCount
  const read: Record<Format['kind'], (at: number) => number> = {
    pcm16: (at) => view.getInt16(at, true) / 2 ** 15,
    pcm24: (at) => (view.getInt8(at + 2) * 2 ** 16 + view.getUint16(at, true)) / 2 ** 23,
    float32: (at) => view.getFloat32(at, true),
  }
  const sampleAt = read[kind]
  const frames = data.size / frameBytes
  return Array.from({ length: channelCount }, (_, channel) => {
    const samples = new Float32Array(frames)
    for (let i = 0; i < frames; i++) {
      const value = sampleAt(data.from + i * frameBytes + channel * sampleBytes)
      if (!Number.isFinite(value)) refuse(`sample ${i} of channel ${channel + 1} is no finite number`)
      samples[i] = value
    }
    return samples
  })
}

const printable = (text: string): string => text.replace(/[^\x20-\x7e]/g, '?')

/** 32-bit float, one channel, with the "fact" chunk that the format asks of everything but PCM. Bit-exact. */
export function writeWav(samples: Float32Array, sampleRateHz: number): Uint8Array {
  const dataBytes = 4 * samples.length
  const bytes = new Uint8Array(58 + dataBytes)
  const view = new DataView(bytes.buffer)
  let at = 0
  const text = (word: string): void => {
    for (const letter of word) view.setUint8(at++, letter.charCodeAt(0))
  }
  const short = (value: number): void => {
    view.setUint16(at, value, true)
    at += 2
  }
  const long = (value: number): void => {
    view.setUint32(at, value, true)
    at += 4
  }
  text('RIFF')
  long(bytes.length - 8)
  text('WAVE')
  text('fmt ')
  long(18)
  short(floatTag)
  short(1)
  long(sampleRateHz)
  long(4 * sampleRateHz)
  short(4)
  short(32)
  // No extra bytes follow.
  short(0)
  text('fact')
  long(4)
  long(samples.length)
  text('data')
  long(dataBytes)
  for (const sample of samples) {
    view.setFloat32(at, sample, true)
    at += 4
  }
  return bytes
}
