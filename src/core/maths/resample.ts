/**
 * Change of sample rate by a Kaiser-windowed sinc, linear phase and no net delay: output j speaks of time j / toHz.
 *
 * Smith, "Digital audio resampling" (CCRMA): the ideal low-pass of the lower of the two rates, windowed. Flat within 0.0001 dB
 * up to 0.9 of half the lower rate; at and above half the lower rate at least 110 dB down. The kernel is symmetric and read at
 * exact rational positions, so that nothing bends or shifts a pitch. Sound before the first and after the last sample counts
 * as 0: the first and last `halfWidth` samples of the lower rate fade in and out. Kernel made of portable functions.
 */
import { sin } from './portable.ts'
import { besselI0 } from './windows.ts'

/** Taps to either side, in samples of the lower rate: (A - 7.95) / (14.36 df) taps in all for A = 120 dB, df = 0.05 (Kaiser). */
const halfWidth = 78
/** 0.1102 (A - 8.7) for A = 120 dB (Kaiser & Schafer 1980). */
const beta = 12.27
/** Middle of the transition band 0.9 ... 1 of half the lower rate. */
const cutoff = 0.95
/** Table steps a sample: cubic interpolation then errs by (pi / 512)^4 * 3 / 128, about -230 dB. */
const stepsPerSample = 512
/** Weights of this many phases are kept (44.1 to 48 kHz has 160); beyond it they are made anew for each output. */
const mostPhasesKept = 1024

/** round(n toHz / fromHz) samples. Rates are whole numbers of Hz. The same rate gives a copy. */
export function resample(samples: Float32Array, fromHz: number, toHz: number): Float32Array {
  if (fromHz === toHz) return samples.slice()
  const divisor = greatestCommonDivisor(fromHz, toHz)
  const up = toHz / divisor
  const down = fromHz / divisor
  const length = Math.round((samples.length * toHz) / fromHz)
  // Kernel positions are counted in samples of the lower rate.
  const scale = Math.min(1, toHz / fromHz)
  const reach = Math.ceil(halfWidth / scale)
  const taps = 2 * reach
  const kept = up <= mostPhasesKept ? new Map<number, Float64Array>() : null
  const scratch = new Float64Array(taps)
  const out = new Float32Array(length)
  for (let j = 0; j < length; j++) {
    // Output j lies at input position j down / up = whole + phase / up, in exact integers.
    const phase = (j * down) % up
    const whole = (j * down - phase) / up
    let weights = kept?.get(phase)
    if (weights === undefined) {
      weights = kept === null ? scratch : new Float64Array(taps)
      fillWeights(weights, reach, phase / up, scale)
      kept?.set(phase, weights)
    }
    const first = whole - reach + 1
    const from = Math.max(0, -first)
    const to = Math.min(taps, samples.length - first)
    let sum = 0
    for (let i = from; i < to; i++) sum += weights[i] * samples[first + i]
    out[j] = sum
  }
  return out
}

/** Tap i weighs the input sample at i - reach + 1 from the whole position. Summing to 1: direct current passes as it is. */
function fillWeights(weights: Float64Array, reach: number, fraction: number, scale: number): void {
  let sum = 0
  for (let i = 0; i < weights.length; i++) {
    weights[i] = kernelAt(Math.abs((i - reach + 1 - fraction) * scale))
    sum += weights[i]
  }
  for (let i = 0; i < weights.length; i++) weights[i] /= sum
}

let table: Float64Array | null = null

/** The kernel at `u` >= 0 samples of the lower rate from its middle, by cubic interpolation. */
function kernelAt(u: number): number {
  if (u >= halfWidth) return 0
  table ??= kernelTable()
  const place = u * stepsPerSample
  const i = Math.floor(place)
  const t = place - i
  // Entry 0 of the table stands one step before the middle.
  const a = table[i]
  const b = table[i + 1]
  const c = table[i + 2]
  const d = table[i + 3]
  const low = t + 1
  const high = t - 1
  const higher = t - 2
  return (
    (-t * high * higher * a) / 6 + (low * high * higher * b) / 2 - (low * t * higher * c) / 2 + (low * t * high * d) / 6
  )
}

function kernelTable(): Float64Array {
  const peak = besselI0(beta)
  return Float64Array.from({ length: halfWidth * stepsPerSample + 4 }, (_, i) => {
    const u = Math.abs(i - 1) / stepsPerSample
    if (u > halfWidth) return 0
    const angle = Math.PI * cutoff * u
    const share = u / halfWidth
    return ((u === 0 ? 1 : sin(angle) / angle) * besselI0(beta * Math.sqrt(1 - share * share))) / peak
  })
}

function greatestCommonDivisor(a: number, b: number): number {
  return b === 0 ? a : greatestCommonDivisor(b, a % b)
}
