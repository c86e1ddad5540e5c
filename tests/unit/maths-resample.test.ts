import { describe, expect, it } from 'vitest'
import { randomStream } from '../../src/core/maths/random.ts'
import { resample } from '../../src/core/maths/resample.ts'

const tone = (hz: number, rateHz: number, n: number): Float32Array =>
  Float32Array.from({ length: n }, (_, i) => Math.cos((2 * Math.PI * hz * i) / rateHz))

/** Complex amplitude of `hz` in `samples` from `start`, over `n` samples under a squared Hann window. */
function toneAt(
  samples: Float32Array,
  hz: number,
  rateHz: number,
  start: number,
  n: number,
): { db: number; phase: number } {
  let re = 0
  let im = 0
  let sum = 0
  for (let i = 0; i < n; i++) {
    const weight = (0.5 - 0.5 * Math.cos((2 * Math.PI * i) / n)) ** 2
    const angle = (2 * Math.PI * hz * (start + i)) / rateHz
    re += weight * samples[start + i] * Math.cos(angle)
    im -= weight * samples[start + i] * Math.sin(angle)
    sum += weight / 2
  }
  return { db: 20 * Math.log10(Math.hypot(re, im) / sum), phase: Math.atan2(im, re) }
}

const rates: readonly (readonly [number, number])[] = [
  [44_100, 48_000],
  [48_000, 44_100],
  [11_025, 48_000],
  [8000, 48_000],
  [48_000, 8000],
  [48_000, 192_000],
  [192_000, 48_000],
  [48_000, 47_999],
]
/** Output samples that the fade at either end may touch: 78 of the lower rate. */
const margin = (fromHz: number, toHz: number): number => Math.ceil((80 * toHz) / Math.min(fromHz, toHz))

describe.each(rates)('from %i to %i Hz', (fromHz, toHz) => {
  const nyquistHz = Math.min(fromHz, toHz) / 2
  const seconds = 0.5
  const edge = margin(fromHz, toHz)

  it('keeps amplitude and phase, and with them the pitch, up to 0.9 of half the lower rate', () => {
    for (const share of [0.0101, 0.1, 0.45, 0.8, 0.9]) {
      const hz = share * nyquistHz
      const out = resample(tone(hz, fromHz, fromHz * seconds), fromHz, toHz)
      const half = Math.floor((out.length - 2 * edge) / 2)
      const first = toneAt(out, hz, toHz, edge, half)
      const second = toneAt(out, hz, toHz, edge + half, half)
      // The ripple promised is 1e-4 dB; the window's own leakage from -hz is far below it at these lengths.
      expect(Math.abs(first.db)).toBeLessThan(1e-4)
      expect(Math.abs(second.db)).toBeLessThan(1e-4)
      // No delay: half a percent of a sample at the top of the band would be 0.014 rad.
      expect(Math.abs(first.phase)).toBeLessThan(1e-5)
      const driftHz = (second.phase - first.phase) / (2 * Math.PI * (half / toHz))
      // 0.01 c is promised; a phase error of 1e-6 rad between halves a quarter of a second apart is 3e-5 c at 40 Hz.
      expect(Math.abs(1200 * Math.log2(1 + driftHz / hz))).toBeLessThan(1e-3)
    }
  })

  it('follows a tone sample by sample', () => {
    const hz = 0.3 * nyquistHz
    const out = resample(tone(hz, fromHz, fromHz * seconds), fromHz, toHz)
    const expected = tone(hz, toHz, out.length)
    let worst = 0
    for (let i = edge; i < out.length - edge; i++) worst = Math.max(worst, Math.abs(out[i] - expected[i]))
    // Ripple of 1e-6 (120 dB design) and two roundings to float32, 6e-8 each.
    expect(worst).toBeLessThan(1.2e-6)
  })

  it('passes direct current as it is', () => {
    const out = resample(new Float32Array(fromHz / 10).fill(0.25), fromHz, toHz)
    for (let i = edge; i < out.length - edge; i++) expect(out[i]).toBe(0.25)
  })
})

describe('stop band', () => {
  // What lies at or above half the lower rate must not come through: power of all that is left, against the tone's own -3 dB.
  it.each([
    [48_000, 8000],
    [48_000, 44_100],
    [192_000, 48_000],
  ])('from %i to %i Hz folds nothing back', (fromHz, toHz) => {
    const edge = margin(fromHz, toHz)
    for (const share of [1, 1.003, 1.01, 1.05, 1.5, 2.7]) {
      const hz = (share * toHz) / 2
      if (hz >= fromHz / 2) continue
      const out = resample(tone(hz, fromHz, fromHz / 2), fromHz, toHz)
      let squares = 0
      for (let i = edge; i < out.length - edge; i++) squares += out[i] * out[i]
      const db = 10 * Math.log10((2 * squares) / (out.length - 2 * edge))
      expect(db).toBeLessThan(-110)
    }
  })

  it('from 8000 to 48 000 Hz makes no images', () => {
    const edge = margin(8000, 48_000)
    const hz = 3600
    const out = resample(tone(hz, 8000, 4000), 8000, 48_000)
    // Zero-stuffing would put images at 8000 n +- hz.
    for (const image of [4400, 11_600, 12_400, 19_600, 20_400]) {
      expect(toneAt(out, image, 48_000, edge, 20_000).db).toBeLessThan(-110)
    }
  })
})

describe('shape', () => {
  it('has round(n to / from) samples', () => {
    expect(resample(new Float32Array(441), 44_100, 48_000).length).toBe(480)
    expect(resample(new Float32Array(100), 44_100, 48_000).length).toBe(109)
    expect(resample(new Float32Array(3), 48_000, 8000).length).toBe(1)
    expect(resample(new Float32Array(0), 48_000, 8000).length).toBe(0)
  })

  it('the same rate is a copy', () => {
    const samples = Float32Array.of(1, 2, 3)
    const out = resample(samples, 44_100, 44_100)
    expect(out).toEqual(samples)
    expect(out).not.toBe(samples)
  })

  it('leaves an impulse where it was, symmetric about it', () => {
    const samples = new Float32Array(400)
    samples[200] = 1
    const out = resample(samples, 8000, 48_000)
    const at = 1200
    for (let i = 1; i < 400; i++) {
      expect(out[at]).toBeGreaterThan(Math.abs(out[at + i]))
      // Weights of mirrored phases are computed apart and normalised apart: last bits of float32.
      expect(Math.abs(out[at + i] - out[at - i])).toBeLessThan(1e-7)
    }
  })

  it('an odd pair of rates gives what the kept phases give', () => {
    // 48 000 to 47 999 Hz has too many phases to keep; over 20 samples it is nearly a copy.
    const samples = new Float32Array(2000)
    const random = randomStream(1, 'band')
    const phases = Array.from({ length: 40 }, () => 6.28 * random.uniform())
    for (let i = 0; i < samples.length; i++) {
      phases.forEach((phase, k) => {
        samples[i] += 0.02 * Math.cos(phase + 0.05 * k * i)
      })
    }
    const out = resample(samples, 48_000, 47_999)
    for (let i = 100; i < 1900; i++) {
      const position = (i * 48_000) / 47_999
      let expected = 0
      phases.forEach((phase, k) => {
        expected += 0.02 * Math.cos(phase + 0.05 * k * position)
      })
      // Ripple 1e-6 of the sum of amplitudes, 0.8, and rounding of the input and the output to float32.
      expect(Math.abs(out[i] - expected)).toBeLessThan(1.2e-6)
    }
  })
})
