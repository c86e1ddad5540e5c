/**
 * What makes a stretch of captured sound unfit for figures, seen in its samples alone.
 *
 * Sound that never reached the audio thread is counted by whoever hears it (the tap). What was lost earlier, between the device
 * and the browser, is filled in by the browser, as a rule with zeros: such a hole is told by samples that all stand at one
 * value, which a converter with any noise of its own does not give for long.
 */

/** The largest 16-bit sample: converters reach no higher above zero. */
export const fullScale = 32_767 / 32_768
/**
 * A hole of 20 ms breaks a take. Browsers hand captured sound on in buffers of 10 ms (seen in Chromium 156 on Linux: holes of
 * whole multiples of it), so two buffers missing break a part and one does not, with half a buffer to either side: one moves
 * f1 by 0.01 c at most (own check, six strings at 20 dB, four places each). Hum of 50 Hz
 * and nothing else, two steps of 16 bits high (-84 dB), stands still at its crest for acos(1 - 0.5/2) / (pi 50 Hz) = 4.6 ms.
 */
const holeS = 0.015

export interface PartFaults {
  /** A sample lies at full scale. */
  readonly overloaded: boolean
  /** Every sample is the same: nothing is plugged in, or it is turned off. */
  readonly silent: boolean
  /** Samples inside holes of 15 ms and more; all of them where it is silent. */
  readonly holeSamples: number
}

/** `samples` finite, full scale is 1; an empty stretch is silent. */
export function partFaults(samples: Float32Array, sampleRateHz: number): PartFaults {
  const leastHole = Math.ceil(holeS * sampleRateHz)
  let overloaded = false
  let holeSamples = 0
  for (let from = 0; from < samples.length; ) {
    const value = samples[from]
    let to = from + 1
    while (to < samples.length && samples[to] === value) to++
    const clipped = Math.abs(value) >= fullScale
    overloaded ||= clipped
    // A crest that was cut off is an overload and no hole.
    if (!clipped && to - from >= leastHole) holeSamples += to - from
    from = to
  }
  const silent = samples.every((sample) => sample === samples[0])
  return { overloaded, silent, holeSamples: silent ? samples.length : holeSamples }
}
