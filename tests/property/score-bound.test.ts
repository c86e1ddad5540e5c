/** What the bound must do whatever the string and the noise: laws of scale, and orders that no information can break. */
import fc from 'fast-check'
import { describe, expect, it } from 'vitest'
import { type Spectrum, scaledSpectrum } from '../../src/core/maths/spectrum.ts'
import { type BoundOptions, type BoundSignal, openBound } from '../../src/core/score/bound.ts'

/** Fixed, and printed by fast-check when something fails. */
const settings = { seed: 20250301, numRuns: 60 }
/** Sums of some hundred positive terms, each good to 1e-13. */
const rounding = 1e-9

const strings = fc
  .record({
    f1: fc.double({ min: 30, max: 700, noNaN: true }),
    stiffness: fc.double({ min: 0, max: 3e-4, noNaN: true }),
    count: fc.integer({ min: 2, max: 60 }),
    decayPerS: fc.double({ min: 0, max: 10, noNaN: true }),
    pickRatio: fc.double({ min: 0.05, max: 0.5, noNaN: true }),
  })
  .map(
    ({ f1, stiffness, count, decayPerS, pickRatio }): BoundSignal => ({
      stiffness,
      firstPartialHz: f1,
      partials: Array.from({ length: count }, (_, i) => i + 1).map((k) => ({
        k,
        frequencyHz: k * f1 * Math.sqrt((1 + stiffness * k * k) / (1 + stiffness)),
        amplitude: (1e-3 + Math.abs(Math.sin(Math.PI * k * pickRatio))) / k,
        decayPerS: decayPerS * Math.sqrt(k),
      })),
    }),
  )
const noises = fc
  .array(fc.double({ min: 1e-9, max: 1e-4, noNaN: true }), { minLength: 4, maxLength: 4 })
  .map((density): Spectrum => ({ binHz: 8000, density: Float64Array.from(density) }))
const spans = fc.record({
  fromS: fc.double({ min: 0, max: 1, noNaN: true }),
  lengthS: fc.double({ min: 0.02, max: 1, noNaN: true }),
})
const variants = fc.constantFrom<BoundOptions>(
  {},
  { stiffness: 'unknown' },
  { band: true },
  { band: { maxK: 20, rolloffHz: 2000 } },
)

describe('the bound', () => {
  it('grows with the root of the noise power', () => {
    fc.assert(
      fc.property(strings, noises, spans, variants, (signal, noise, { fromS, lengthS }, options) => {
        const sd = openBound(signal, noise).sdCents(fromS, fromS + lengthS, options)
        const louder = openBound(signal, scaledSpectrum(noise, 4)).sdCents(fromS, fromS + lengthS, options)
        fc.pre(Number.isFinite(sd))
        expect(Math.abs(louder / (2 * sd) - 1)).toBeLessThan(rounding)
      }),
      settings,
    )
  })

  it('never falls when less is known or less is heard', () => {
    fc.assert(
      fc.property(strings, noises, spans, (signal, noise, { fromS, lengthS }) => {
        const bound = openBound(signal, noise)
        const sd = (options: BoundOptions) => bound.sdCents(fromS, fromS + lengthS, options)
        // Under four periods a factor that is itself an estimate comes in; the order is promised from there on.
        fc.pre(lengthS * signal.firstPartialHz >= 4)
        expect(sd({ stiffness: 'unknown' })).toBeGreaterThanOrEqual(sd({}) * (1 - rounding))
        expect(sd({ band: true })).toBeGreaterThanOrEqual(sd({}) * (1 - rounding))
        expect(sd({ band: { maxK: 10, rolloffHz: 1000 } })).toBeGreaterThanOrEqual(sd({ band: true }) * (1 - rounding))
      }),
      settings,
    )
  })

  it('never rises with more evidence', () => {
    fc.assert(
      fc.property(strings, noises, spans, variants, (signal, noise, { fromS, lengthS }, options) => {
        fc.pre(lengthS * signal.firstPartialHz >= 4)
        const bound = openBound(signal, noise)
        const sd = bound.sdCents(fromS, fromS + lengthS, options)
        expect(bound.sdCents(fromS, fromS + 1.1 * lengthS, options)).toBeLessThanOrEqual(sd * (1 + rounding))
        expect(bound.sdCents(0.9 * fromS, fromS + lengthS, options)).toBeLessThanOrEqual(sd * (1 + rounding))
      }),
      settings,
    )
  })

  it('waits by a decay: the same span later is exp(a t) worse when all partials fall alike', () => {
    fc.assert(
      fc.property(strings, noises, spans, (signal, noise, { fromS, lengthS }) => {
        const alike = { ...signal, partials: signal.partials.map((partial) => ({ ...partial, decayPerS: 3 })) }
        const bound = openBound(alike, noise)
        fc.pre(Number.isFinite(bound.sdCents(0, lengthS)))
        const ratio = bound.sdCents(fromS, fromS + lengthS) / bound.sdCents(0, lengthS)
        // Lengths are kept to the nanosecond: 3 / 2 ns over 20 ms is 1e-7 of the bound.
        expect(Math.abs(ratio / Math.exp(3 * fromS) - 1)).toBeLessThan(1e-6)
      }),
      settings,
    )
  })

  it('allows a claim when it first reaches the tolerance, not before', () => {
    fc.assert(
      fc.property(strings, noises, (signal, noise) => {
        // So loud that the claim comes after the four periods in which the full matrix rules, mostly.
        const bound = openBound(signal, scaledSpectrum(noise, 1e4))
        const lockS = bound.lockS(5)
        fc.pre(lockS * signal.firstPartialHz > 4.1)
        expect(1.96 * bound.sdCents(0, lockS)).toBeLessThanOrEqual(5)
        expect(1.96 * bound.sdCents(0, 0.985 * lockS)).toBeGreaterThan(5)
      }),
      settings,
    )
  })

  it('tells nothing before the onset, of no partials, and in less than a period of many', () => {
    fc.assert(
      fc.property(strings, noises, (signal, noise) => {
        const bound = openBound(signal, noise)
        expect(bound.sdCents(-0.2, -0.1)).toBeNaN()
        expect(bound.sdCents(-0.2, 0)).toBeNaN()
        expect(bound.sdCents(0.2, Number.NaN)).toBeNaN()
        expect(bound.sdCents(-1, 0.3)).toBe(bound.sdCents(0, 0.3))
        expect(bound.sdCents(0, 0.9 / signal.firstPartialHz)).toBe(Number.POSITIVE_INFINITY)
        const empty = openBound({ ...signal, partials: [] }, noise)
        expect(empty.sdCents(0, 1)).toBeNaN()
        expect(empty.lockS(5)).toBeNaN()
      }),
      { ...settings, numRuns: 10 },
    )
  })
})
