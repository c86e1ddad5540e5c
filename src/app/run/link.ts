/**
 * A study as part of an address. A preset is its name; anything else is `1.` and the base64url of deflated JSON that holds
 * only what differs from the preset it grew out of. The number is the version of this encoding: another one is refused.
 */
import { Problem } from '../../core/problem.ts'
import { parseStudy } from '../../core/study/parse.ts'
import { presetIds, presetStudy } from '../../core/study/presets.ts'
import type { Study } from '../../core/study/study.ts'

const version = '1'

/** 64 kB of JSON is hundreds of strings: nothing a link would hold. Keeps a hostile link from filling the memory. */
const longestJson = 65536

export async function studyCode(study: Study): Promise<string> {
  const base = presetIds.includes(study.id) ? study.id : 'first'
  const preset = presetStudy(base) as unknown as Record<string, unknown>
  const given = study as unknown as Record<string, unknown>
  const differing = Object.keys(given).filter((key) => JSON.stringify(given[key]) !== JSON.stringify(preset[key]))
  if (differing.length === 0) return base
  const changes = Object.fromEntries(differing.map((key) => [key, given[key]]))
  return packed([base, changes])
}

/** @throws Problem when the code is no study of ours. */
export async function studyOfCode(code: string): Promise<Study> {
  if (!code.includes('.')) return presetStudy(code)
  const parts = await unpacked(code)
  if (!Array.isArray(parts) || typeof parts[0] !== 'string' || typeof parts[1] !== 'object') {
    throw new Problem('it holds no study', 'link')
  }
  return parseStudy({ ...presetStudy(parts[0]), ...parts[1] })
}

/** JSON as text that stands in an address. */
export async function packed(json: unknown): Promise<string> {
  const bytes = await through(
    new TextEncoder().encode(JSON.stringify(json)),
    new CompressionStream('deflate-raw'),
    Number.POSITIVE_INFINITY,
  )
  const text = btoa(String.fromCharCode(...bytes))
  return `${version}.${text.replaceAll('+', '-').replaceAll('/', '_').replaceAll('=', '')}`
}

/** @throws Problem when it was not packed so, or not all of it is there. */
export async function unpacked(code: string): Promise<unknown> {
  const [given, text = ''] = code.split('.')
  if (given !== version) throw new Problem(`its version is "${given}", this page reads version ${version}`, 'link')
  try {
    const binary = atob(text.replaceAll('-', '+').replaceAll('_', '/'))
    const bytes = Uint8Array.from(binary, (letter) => letter.charCodeAt(0))
    return JSON.parse(
      new TextDecoder().decode(await through(bytes, new DecompressionStream('deflate-raw'), longestJson)),
    )
  } catch (cause) {
    if (cause instanceof Problem) throw cause
    throw new Problem('it is cut short or was changed on the way', 'link')
  }
}

async function through(bytes: Uint8Array, stream: GenericTransformStream, most: number): Promise<Uint8Array> {
  const reader = new Blob([bytes as BlobPart])
    .stream()
    .pipeThrough(stream as ReadableWritablePair<Uint8Array>)
    .getReader()
  const pieces: Uint8Array[] = []
  let length = 0
  for (let piece = await reader.read(); !piece.done; piece = await reader.read()) {
    length += piece.value.length
    if (length > most) throw new Problem('it is longer than any study', 'link')
    pieces.push(piece.value)
  }
  const whole = new Uint8Array(length)
  let at = 0
  for (const piece of pieces) {
    whole.set(piece, at)
    at += piece.length
  }
  return whole
}
