/**
 * A room take as one file: a zip (PKWARE APPNOTE) of `take.json` and one 32-bit float WAV a part. Any audio program opens the
 * WAVs; the whole is opened here again, bit for bit.
 */
import { strFromU8, strToU8, unzipSync, zipSync } from 'fflate'
import { Problem, problemWithin } from '../../core/problem.ts'
import { readWav, writeWav } from '../../core/scene/wav.ts'
import { parseTakeHead, type RoomTake, sha256 } from './take.ts'

const headName = 'take.json'
const fileOf = (name: string): string => `${name}.wav`
/** Thirteen parts of ten seconds at 192 kHz; more is no take, and browsers run short of memory. */
const mostBytes = 200_000_000

/** Stored, not deflated: noise does not get smaller. */
export function zipOfTake({ head, samples }: RoomTake): Uint8Array<ArrayBuffer> {
  const files: Record<string, [Uint8Array, { level: 0 }]> = {
    [headName]: [strToU8(`${JSON.stringify(head, null, 2)}\n`), { level: 0 }],
  }
  for (const { name } of head.parts) {
    const part = samples.get(name)
    if (part !== undefined) files[fileOf(name)] = [writeWav(part, head.sampleRateHz), { level: 0 }]
  }
  return new Uint8Array(zipSync(files))
}

/** @throws Problem naming file and field for whatever does not fit; nothing is taken in part. */
export async function takeOfZip(bytes: Uint8Array): Promise<RoomTake> {
  if (bytes.length > mostBytes) throw new Problem(`${bytes.length} bytes is above ${mostBytes} bytes`, '')
  const files = unzipped(bytes)
  const text = files[headName]
  if (text === undefined) throw new Problem(`holds no ${headName}: it is no room take`, '')
  let json: unknown
  try {
    json = JSON.parse(strFromU8(text))
  } catch {
    throw new Problem('is no JSON', headName)
  }
  const head = within(headName, () => parseTakeHead(json))
  const samples = new Map<string, Float32Array>()
  for (const part of head.parts) {
    const file = fileOf(part.name)
    const wav = files[file]
    if (wav === undefined) throw new Problem('is missing', file)
    const { sampleRateHz, channels } = readWav(wav, file)
    const [read] = channels
    if (read === undefined || channels.length > 1) throw new Problem(`${channels.length} channels, one is wanted`, file)
    if (sampleRateHz !== head.sampleRateHz)
      throw new Problem(`${sampleRateHz} Hz, ${headName} says ${head.sampleRateHz} Hz`, file)
    if (read.length !== part.samples)
      throw new Problem(`${read.length} samples, ${headName} says ${part.samples}`, file)
    const hash = await sha256(read)
    if (part.sha256 !== '' && hash !== '' && hash !== part.sha256)
      throw new Problem(`its samples are not those that ${headName} names: the file was changed`, file)
    samples.set(part.name, read)
  }
  return { head, samples }
}

function unzipped(bytes: Uint8Array): Record<string, Uint8Array> {
  try {
    return unzipSync(bytes)
  } catch {
    throw new Problem('is no zip file, or is cut off', '')
  }
}

function within<T>(file: string, read: () => T): T {
  try {
    return read()
  } catch (cause) {
    throw cause instanceof Problem ? problemWithin(file, cause) : cause
  }
}
