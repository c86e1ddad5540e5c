/**
 * Lets a method hear a whole take and keeps what it says.
 */
import { fill } from '../fields.ts'
import type { Method, Reading, Stream } from './method.ts'

/**
 * All readings, copied. `values` may name only the settings that differ from the defaults; `blockSamples` is how much is
 * pushed at a time (the readings do not depend on it).
 * @throws Problem from the settings or from `open`, never for what is in `samples`.
 */
export function listen(
  method: Method,
  samples: Float32Array,
  stream: Stream,
  values: Readonly<Record<string, unknown>> = {},
  blockSamples = samples.length,
): Reading[] {
  const listener = method.open(stream, fill(method.fields, values))
  const readings: Reading[] = []
  const keep = (reading: Readonly<Reading>): void => {
    readings.push({ ...reading })
  }
  const step = Math.max(1, blockSamples)
  for (let start = 0; start < samples.length; start += step) {
    listener.push(samples.subarray(start, start + step), keep)
  }
  return readings
}
