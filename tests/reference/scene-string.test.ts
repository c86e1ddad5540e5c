/**
 * The string of clean.wav against the published law of stiff strings, measured on the samples and not on the formulas that
 * made them.
 */
import { describe, expect, it } from 'vitest'
import { parseScene } from '../../src/core/scene/parse.ts'
import { render } from '../../src/core/scene/render.ts'

/** Frequency near `hz` from the phase a Hann window sees at two moments half its length apart. */
function measuredHz(samples: Float32Array, sampleRateHz: number, hz: number, from: number, length: number): number {
  const phaseAt = (start: number): number => {
    let re = 0
    let im = 0
    for (let i = 0; i < length; i++) {
      const weight = 0.5 - 0.5 * Math.cos((2 * Math.PI * i) / length)
      const angle = (2 * Math.PI * hz * (start + i)) / sampleRateHz
      re += weight * (samples[start + i] as number) * Math.cos(angle)
      im -= weight * (samples[start + i] as number) * Math.sin(angle)
    }
    return Math.atan2(im, re)
  }
  const step = length / 2
  const turn = phaseAt(from + step) - phaseAt(from)
  return hz + ((turn - 2 * Math.PI * Math.round(turn / (2 * Math.PI))) / (2 * Math.PI)) * (sampleRateHz / step)
}

const cents = (a: number, b: number): number => 1200 * Math.log2(a / b)

describe('partials of the clean side', () => {
  // k f0 sqrt(1 + B k^2), Fletcher 1964, JASA 36:203-209: cents above k f0 are 600 lg2(1 + B k^2). Worked out: B = 1e-4 gives
  // partial 1 0.087, partial 5 2.161, partial 10 8.613, partial 20 33.95; B = 1e-3 gives partial 10 82.50.
  it.each([
    [1e-4, 1, 0.087],
    [1e-4, 5, 2.161],
    [1e-4, 10, 8.613],
    [1e-4, 20, 33.95],
    [1e-3, 10, 82.5],
  ])('B = %d bends partial %d by %d c', (stiffness, k, printedCents) => {
    const f1Hz = 110
    const scene = parseScene({ durationS: 1.2, plucks: [{ firstPartialHz: f1Hz, stiffness, decayS: 4 }] })
    const f0Hz = f1Hz / Math.sqrt(1 + stiffness)
    const law = k * f0Hz * Math.sqrt(1 + stiffness * k * k)
    const heard = measuredHz(render(scene, new Map()).clean, 48000, law, 4800, 32768)
    expect(Math.abs(cents(heard, law))).toBeLessThan(0.02)
    // As printed, to half a unit of its last digit, on top of what a partial may be off.
    const digits = `${printedCents}`.split('.')[1]?.length ?? 0
    expect(Math.abs(cents(heard, k * f0Hz) - printedCents)).toBeLessThan(0.02 + 0.5 * 10 ** -digits)
  })
  it.each([8000, 44100, 96000, 192000])('lie where the law says at %d Hz, once the glide is over', (sampleRateHz) => {
    const pluck = {
      onsetS: 0.1,
      firstPartialHz: 82.41,
      stiffness: 1e-4,
      decayS: 5,
      pickRatio: 0.13,
      highDecayRatio: 0.5,
    }
    const scene = parseScene({ sampleRateHz, durationS: 2.5, plucks: [{ ...pluck, glideCents: 3, glideS: 0.15 }] })
    const { clean, partials } = render(scene, new Map())
    // From 1.5 s on 3 exp(-1.4 / 0.15) = 3e-4 c of the glide are left.
    const length = 2 * Math.round(0.4 * sampleRateHz)
    for (const { frequencyHz } of partials.slice(0, 12)) {
      const heard = measuredHz(clean, sampleRateHz, frequencyHz, Math.round(1.5 * sampleRateHz) - length / 2, length)
      expect(Math.abs(cents(heard, frequencyHz))).toBeLessThan(0.02)
    }
  })
  it('fall by 60 dB in their decay time', () => {
    // T60 is that by its name (ISO 3382 uses the same for rooms); measured over one second of 2: 30 dB.
    const scene = parseScene({ durationS: 1.6, plucks: [{ firstPartialHz: 220, decayS: 2 }] })
    const { clean } = render(scene, new Map())
    const rms = (from: number): number =>
      Math.sqrt(clean.subarray(from, from + 24000).reduce((sum, value) => sum + value * value, 0) / 24000)
    expect(20 * Math.log10(rms(0) / rms(48000))).toBeCloseTo(30, 3)
  })
})
