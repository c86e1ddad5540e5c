/**
 * A fourth-order Butterworth low-pass, sample by sample: two second-order sections by the bilinear transform.
 *
 * A period follower reads a stiff string sharp because high partials pull at the period, and broadband noise enters
 * through the same band; with fewer partials both shrink. Section quality 1/(2 cos(pi/8)) and 1/(2 cos(3 pi/8)) is
 * Butterworth's own (poles evenly spaced on a circle). The bilinear transform bends the frequency axis: the corner is
 * exact, the slope is steeper than 24 dB per octave close to half the sample rate. Corners above 0.45 of the rate are
 * refused. The phase is not linear: delay is stated at 0 Hz and grows towards the corner.
 */
import { Problem } from '../problem.ts'

export interface LowPass {
  next(sample: number): number
  /** Group delay at 0 Hz. */
  readonly delaySamples: number
  /** Length after which the impulse response stays 60 dB under its peak: what is charged to the evidence. */
  readonly settlingSamples: number
}

/** @throws Problem when the corner is not below 0.45 of the sample rate. */
export function lowPass(cornerHz: number, sampleRateHz: number): LowPass {
  if (!(cornerHz > 0 && cornerHz < 0.45 * sampleRateHz)) {
    throw new Problem(
      `${cornerHz} is not between 0 and ${0.45 * sampleRateHz} Hz, 0.45 of the sample rate`,
      'lowPassHz',
    )
  }
  const warped = Math.tan((Math.PI * cornerHz) / sampleRateHz)
  const quick = 2 * Math.cos(Math.PI / 8)
  const slow = 2 * Math.cos((3 * Math.PI) / 8)
  const first = section(warped, 1 / quick)
  const second = section(warped, 1 / slow)
  // An analogue section 1/(1 + s/(Q w) + s^2/w^2) delays 0 Hz by 1/(Q w); tan takes w to the sampled axis in units of 2 rate.
  const delaySamples = (quick + slow) / (2 * warped)
  // The slow poles shrink by `radius` a sample. Their part of the response starts below three times the peak of the
  // whole: ln 3000 = 8.01 time constants until it stays 60 dB under that peak.
  const radius = Math.sqrt((1 - warped * slow + warped * warped) / (1 + warped * slow + warped * warped))
  const settlingSamples = Math.ceil(8.01 / -Math.log(radius))
  return {
    next: (sample) => second(first(sample)),
    delaySamples,
    settlingSamples,
  }
}

/** Transposed direct form II. */
function section(warped: number, quality: number): (sample: number) => number {
  const scale = 1 / (1 + warped / quality + warped * warped)
  const gain = warped * warped * scale
  const a1 = 2 * (warped * warped - 1) * scale
  const a2 = (1 - warped / quality + warped * warped) * scale
  // A typed array: numbers kept in a closure would be allocated anew for every sample.
  const state = new Float64Array(2)
  return (sample) => {
    const out = gain * sample + state[0]
    state[0] = 2 * gain * sample - a1 * out + state[1]
    state[1] = gain * sample - a2 * out
    return out
  }
}
