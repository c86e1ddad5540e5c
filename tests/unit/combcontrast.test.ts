/**
 * A comb of partials against the comb of gaps, on spectra written by hand.
 */
import { describe, expect, it } from 'vitest'
import { CombContrast } from '../../src/core/methods/combcontrast.ts'

const binHz = 1
const bins = 1200
const targetHz = 100
const partials = 10
const noise = new Float64Array(bins).fill(1)

/** Contrast of a spectrum of ones with `power` at the given places. */
function contrast(places: readonly number[], power: number): number {
  const spectrum = new Float64Array(bins).fill(1)
  for (const place of places) spectrum[Math.round(place)] = power
  return new CombContrast(targetHz, partials, binHz, bins, 5).of(spectrum, noise)
}
const comb = (first: number): number[] => Array.from({ length: partials }, (_, i) => first + i * targetHz)

describe('comb contrast', () => {
  it('is nothing in a flat spectrum', () => {
    expect(contrast([], 1)).toBe(0)
  })

  it('is positive for a comb at the partials, negative for the same comb in the gaps', () => {
    expect(contrast(comb(100), 40)).toBeGreaterThan(3)
    expect(contrast(comb(50), 40)).toBeLessThan(-3)
  })

  it('counts one line, however loud, as one partial of ten', () => {
    // 12 nepers is all that a partial may say, less what a place of flat noise says: ln(1 + e^-2) = 0.127.
    expect(contrast([300], 1e9)).toBeLessThanOrEqual((12 - Math.log(1 + Math.exp(-2))) / partials + 1e-12)
  })

  it('is indifferent to noise that stands everywhere, whatever its level', () => {
    const everywhere = Array.from({ length: bins }, (_, i) => i)
    expect(contrast(everywhere, 40)).toBeCloseTo(0, 12)
  })
})
