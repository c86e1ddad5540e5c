/**
 * A Butterworth high-pass of fourth order as two biquads (bilinear transform of the prototype's two pole pairs; Butterworth
 * 1930, Wireless Engineer 7:536-541): what lies under a string is taken away before its power is measured.
 */

/** Quality of the two pole pairs: 1 / (2 cos(pi/8)) and 1 / (2 cos(3 pi/8)). */
const qualities = [0.541196100146197, 1.30656296487638] as const

interface Biquad {
  readonly gain: number
  readonly a1: number
  readonly a2: number
}

const biquads = (cutHz: number, sampleRateHz: number): Biquad[] => {
  const w = (2 * Math.PI * cutHz) / sampleRateHz
  return qualities.map((quality) => {
    const alpha = Math.sin(w) / (2 * quality)
    const a0 = 1 + alpha
    return { gain: (1 + Math.cos(w)) / 2 / a0, a1: (-2 * Math.cos(w)) / a0, a2: (1 - alpha) / a0 }
  })
}

/** A new array; -3 dB at `cutHz`, -0.07 dB at 1.67 times it. */
export function highPassed(samples: Float32Array, sampleRateHz: number, cutHz: number): Float32Array {
  const out = Float64Array.from(samples, (sample) => (Number.isFinite(sample) ? sample : 0))
  for (const { gain, a1, a2 } of biquads(cutHz, sampleRateHz)) {
    let [x1, x2, y1, y2] = [out[0], out[0], 0, 0]
    for (let i = 0; i < out.length; i++) {
      const x = out[i]
      const y = gain * (x - 2 * x1 + x2) - a1 * y1 - a2 * y2
      x2 = x1
      x1 = x
      y2 = y1
      y1 = y
      out[i] = y
    }
  }
  return Float32Array.from(out)
}

/** Power gain of the same filter. */
export function highPassGain(hz: number, sampleRateHz: number, cutHz: number): number {
  const ratio = Math.tan((Math.PI * hz) / sampleRateHz) / Math.tan((Math.PI * cutHz) / sampleRateHz)
  return ratio ** 8 / (1 + ratio ** 8)
}
