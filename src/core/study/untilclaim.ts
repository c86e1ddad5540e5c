/**
 * A method that listens until it claims: whoever asks only when and what it claims need not compute the rest of a take. The
 * readings are the first ones of those that the whole take gives, up to a twentieth of a second beyond the claim.
 */
import type { Values } from '../fields.ts'
import type { Method, Reading, Stream } from '../methods/method.ts'
import { firstHold, type Hold } from '../score/claim.ts'
import type { ClaimSettings } from '../score/score.ts'

/** How often it is looked whether a claim stands, s. */
const lookS = 0.05

export interface HeardUntilClaim {
  readonly readings: readonly Reading[]
  /** null: no claim in the whole take. */
  readonly hold: Hold | null
}

/** `values`: all of the method's settings. */
export function listenUntilClaim(
  method: Method,
  samples: Float32Array,
  stream: Stream,
  values: Values,
  claim: ClaimSettings,
): HeardUntilClaim {
  const { sampleRateHz } = stream
  const listener = method.open(stream, values)
  const readings: Reading[] = []
  const step = Math.round(lookS * sampleRateHz)
  for (let start = 0; start < samples.length; start += step) {
    const before = readings.length
    listener.push(samples.subarray(start, start + step), (reading) => readings.push({ ...reading }))
    if (readings.length === before) continue
    const hold = firstHold(readings, sampleRateHz, claim)
    if (hold !== null) return { readings, hold }
  }
  return { readings, hold: null }
}
