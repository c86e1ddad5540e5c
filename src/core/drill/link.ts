/**
 * An exercise as part of an address: `1.` and the base64url of its JSON, with what stands at its default left out. The number is
 * the version of this encoding; another one is refused.
 */
import { Problem } from '../problem.ts'
import { type Exercise, exerciseFields, parseExercise } from './exercise.ts'

const version = '1'
/** Some hundred times what an exercise takes: keeps a hostile link from filling the memory. */
const longestCode = 65536
const letters = 'ABCDEFGHIJKLMNOPQRSTUVWXYZabcdefghijklmnopqrstuvwxyz0123456789-_'

/** Plain JSON that `parseExercise` reads back to the same exercise. */
export function writtenExercise(exercise: Exercise): Record<string, unknown> {
  const { stages, startSide, bridge, confirmPluck, check, ...rest } = exercise
  const kept = Object.entries(rest).filter(
    ([name, value]) => exerciseFields[name as keyof typeof exerciseFields]?.default !== value,
  )
  return {
    ...Object.fromEntries(kept),
    ...(startSide === 'both' ? {} : { startSide }),
    ...(bridge === 'fixed' ? {} : { bridge }),
    ...(confirmPluck ? { confirmPluck } : {}),
    ...(check ? { check } : {}),
    ...(stages === null ? {} : { stages }),
  }
}

export function exerciseCode(exercise: Exercise): string {
  return `${version}.${encoded(utf8(JSON.stringify(writtenExercise(exercise))))}`
}

/** @throws Problem when the code is no exercise of ours. */
export function exerciseOfCode(code: string): Exercise {
  const dot = code.indexOf('.')
  const given = code.slice(0, Math.max(0, dot))
  if (given !== version) throw new Problem(`its version is "${given}", this page reads version ${version}`, 'link')
  if (code.length > longestCode) throw new Problem('it is longer than any exercise', 'link')
  let json: unknown
  try {
    json = JSON.parse(text(decoded(code.slice(dot + 1))))
  } catch {
    throw new Problem('it is cut short or was changed on the way', 'link')
  }
  return parseExercise(json)
}

/** Each character of the string is a byte: what `encodeURIComponent` spells out as UTF-8. */
const utf8 = (words: string): number[] =>
  (encodeURIComponent(words).match(/%[0-9A-F]{2}|[^%]/g) ?? []).map((piece) =>
    piece.length === 1 ? piece.charCodeAt(0) : Number.parseInt(piece.slice(1), 16),
  )

const text = (bytes: readonly number[]): string =>
  decodeURIComponent(bytes.map((byte) => `%${byte.toString(16).padStart(2, '0')}`).join(''))

/** RFC 4648, section 5, without padding. */
function encoded(bytes: readonly number[]): string {
  let code = ''
  for (let at = 0; at < bytes.length; at += 3) {
    const [a, b, c] = [bytes[at], bytes[at + 1], bytes[at + 2]]
    const bits = (a << 16) | ((b ?? 0) << 8) | (c ?? 0)
    const length = Math.min(4, bytes.length - at + 1)
    for (let i = 0; i < length; i++) code += letters[(bits >> (18 - 6 * i)) & 63]
  }
  return code
}

/** @throws for a letter that is none. */
function decoded(code: string): number[] {
  const bytes: number[] = []
  let bits = 0
  let count = 0
  for (const letter of code) {
    const value = letters.indexOf(letter)
    if (value < 0) throw new RangeError(letter)
    bits = ((bits << 6) | value) & 0xffff
    count += 6
    if (count >= 8) {
      count -= 8
      bytes.push((bits >> count) & 255)
    }
  }
  return bytes
}
