import { describe, expect, it } from 'vitest'
import { randomStream } from '../../src/core/maths/random.ts'
import { densityAt, scaledSpectrum, welch } from '../../src/core/maths/spectrum.ts'

const meanSquareOf = ({ binHz, density }: { binHz: number; density: Float64Array }): number =>
  density.reduce((sum, value) => sum + value * binHz, 0)

describe('welch', () => {
  it('white noise is as dense everywhere: twice its variance over the rate', () => {
    const rateHz = 48_000
    const samples = new Float32Array(5 * rateHz)
    randomStream(1, 'white').fillGaussian(samples)
    const spectrum = welch(samples, rateHz, 1024)
    expect(spectrum.binHz).toBe(46.875)
    expect(spectrum.density.length).toBe(513)
    const level = 2 / rateHz
    // Half-overlapping Hann segments: variance of a bin is 19/18 of that of as many independent ones, about (Welch 1967).
    const segments = Math.floor((samples.length - 1024) / 512) + 1
    const spread = Math.sqrt(19 / 18 / segments)
    for (let k = 1; k < 512; k++) expect(Math.abs(spectrum.density[k] / level - 1)).toBeLessThan(4.5 * spread)
    // One-sided: the end bins are not doubled, and being real they vary twice as much.
    for (const k of [0, 512])
      expect(Math.abs(spectrum.density[k] / (level / 2) - 1)).toBeLessThan(4.5 * Math.SQRT2 * spread)
    // Relative standard deviation of a mean of n squares is sqrt(2 / n).
    expect(Math.abs(meanSquareOf(spectrum) - 1)).toBeLessThan(4 * Math.sqrt(2 / samples.length))
  })

  it('a tone keeps its power, spread over four bins', () => {
    const samples = Float32Array.from({ length: 48_000 }, (_, i) => 0.5 * Math.sin((2 * Math.PI * 750 * i) / 48_000))
    const spectrum = welch(samples, 48_000, 1024)
    // float32 rounding of the samples, 3e-8 of each.
    expect(Math.abs(meanSquareOf(spectrum) / 0.125 - 1)).toBeLessThan(1e-7)
    // 750 Hz is bin 16. Hann spreads power 1 : 4 : 1 over three bins when the tone lies on one.
    const [below, at, above] = spectrum.density.slice(15, 18)
    expect(Math.abs(at / below - 4)).toBeLessThan(1e-6)
    expect(Math.abs(at / above - 4)).toBeLessThan(1e-6)
    expect(spectrum.density[19] / at).toBeLessThan(1e-12)
  })

  it('a short signal gets a shorter segment', () => {
    const samples = new Float32Array(1000).fill(1)
    expect(welch(samples, 8000).density.length).toBe(257)
    expect(welch(new Float32Array(3).fill(1), 8000).density.length).toBe(9)
    expect(welch(new Float32Array(0), 8000).density.every((value) => value === 0)).toBe(true)
  })
})

describe('density at a frequency', () => {
  const spectrum = { binHz: 10, density: Float64Array.of(1, 3, 2) }

  it('is a straight line between bins and level beyond the ends', () => {
    expect(densityAt(spectrum, 0)).toBe(1)
    expect(densityAt(spectrum, 5)).toBe(2)
    expect(densityAt(spectrum, 10)).toBe(3)
    expect(densityAt(spectrum, 20)).toBe(2)
    expect(densityAt(spectrum, 99)).toBe(2)
    expect(densityAt(spectrum, -1)).toBe(1)
    expect(densityAt(spectrum, Number.NaN)).toBeNaN()
  })

  it('scales without touching the original', () => {
    const louder = scaledSpectrum(spectrum, 100)
    expect(louder).toEqual({ binHz: 10, density: Float64Array.of(100, 300, 200) })
    expect(spectrum.density[0]).toBe(1)
  })
})
