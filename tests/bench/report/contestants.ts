/**
 * Who takes part: every listed method, and aubio's. A new method is measured without a word here; one that is slow must be
 * named, or the run takes far longer than planned.
 */
import { methods } from '../../../src/core/methods/index.ts'
import type { Method } from '../../../src/core/methods/method.ts'
import { Problem } from '../../../src/core/problem.ts'
import type { MethodChoice } from '../../../src/core/study/study.ts'
import { aubioMethods } from './aubio.ts'

export const contestants: readonly Method[] = [...methods, ...aubioMethods]

/** @throws Problem for an id that nobody has. */
export function contestant(id: string): Method {
  const found = contestants.find((method) => method.id === id)
  if (found === undefined) throw new Problem(`no method "${id}" in the bench`, 'method')
  return found
}

export const isOutside = (id: string): boolean => /^(pitchfinder-|pitchy|aubio-)/.test(id)

/**
 * Over 3 ms a frame at 4096 samples: heard in a smaller part of the same trials, at a hop of 2048. aubio's multiple comb takes
 * 1.2 to 3.5 and answers all but as its harmonic comb does.
 */
const slowIds: readonly string[] = [
  'pitchfinder-yin',
  'pitchfinder-macleod',
  'pitchfinder-amdf',
  'pitchfinder-acf2plus',
  'aubio-yin',
  'aubio-mcomb',
]
/** Some 80 ms a frame: heard in white noise only. */
const slowestIds: readonly string[] = ['pitchfinder-amdf']
export const slowHop = 2048

export const isSlow = (id: string): boolean => slowIds.includes(id)

const plain = (id: string): MethodChoice => ({ id, values: {} })

export const everyId = contestants.map(({ id }) => id)
export const slow: readonly MethodChoice[] = slowIds
  .filter((id) => everyId.includes(id))
  .map((id) => ({ id, values: { hop: slowHop } }))
export const notSlowest = slow.filter(({ id }) => !slowestIds.includes(id))
export const slowest = slow.filter(({ id }) => slowestIds.includes(id))
export const isSlowest = (id: string): boolean => slowestIds.includes(id)
export const fast: readonly MethodChoice[] = everyId.filter((id) => !isSlow(id)).map(plain)
export const aimed: readonly MethodChoice[] = contestants
  .filter(({ id, family }) => family === 'aimed' && !isSlow(id))
  .map(({ id }) => plain(id))
/** The fast ones that are not aimed. */
export const blind: readonly MethodChoice[] = fast.filter(({ id }) => contestant(id).family === 'blind')
