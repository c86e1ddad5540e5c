/** The bound for strings as they are: two slopes, two polarisations. */
import { describe, expect, it } from 'vitest'
import type { Spectrum } from '../../src/core/maths/spectrum.ts'
import type { Partial } from '../../src/core/scene/scene.ts'
import { openBound } from '../../src/core/score/bound.ts'

const rate = 48000
/** White, variance 1: one-sided density G = 2 / rate. */
const white: Spectrum = { binHz: rate / 2, density: Float64Array.of(2 / rate, 2 / rate) }
const kneeS = 0.4
const centsPerNeper = 1200 / Math.LN2

const boundOf = (partials: readonly Partial[], knee: number | null = kneeS) =>
  openBound({ partials, stiffness: 0, firstPartialHz: 100, ...(knee === null ? {} : { kneeS: knee }) }, white)

/** J = A^2 / G [int t^2 e - (int t e)^2 / int e] by the midpoint rule, over ln f1; `amplitudeAt` from the onset. */
function summedSdCents(amplitudeAt: (atS: number) => number, hz: number, fromS: number, toS: number): number {
  const steps = 200_000
  const sums = [0, 0, 0]
  for (let i = 0; i < steps; i++) {
    const t = ((i + 0.5) / steps) * (toS - fromS)
    const power = (amplitudeAt(fromS + t) ** 2 * (toS - fromS)) / steps
    for (let m = 0; m < 3; m++) sums[m] += power * t ** m
  }
  const information = ((sums[2] - sums[1] ** 2 / sums[0]) * rate) / 2
  return centsPerNeper / (2 * Math.PI * hz * Math.sqrt(information))
}

describe('a partial with two slopes', () => {
  const bent: Partial = { k: 1, frequencyHz: 100, amplitude: 1, decayPerS: 8, lateDecayPerS: 1 }
  const amplitudeAt = (t: number): number => Math.exp(-8 * Math.min(t, kneeS) - Math.max(0, t - kneeS))

  it.each([
    [0, 0.3],
    [0, 1],
    [0.2, 0.9],
    [0.5, 1.5],
  ])('has the information of its envelope, summed step by step: %d to %d s', (fromS, toS) => {
    // Midpoint rule: the slope jumps at most at one edge of a step, so the sums are exact to 1e-5 and better.
    expect(boundOf([bent]).sdCents(fromS, toS) / summedSdCents(amplitudeAt, 100, fromS, toS)).toBeCloseTo(1, 5)
  })

  it('tells more than its first slope alone if it then falls more slowly, less if faster', () => {
    const plain = boundOf([{ ...bent, lateDecayPerS: 8 }]).sdCents(0, 1)
    expect(boundOf([bent]).sdCents(0, 1)).toBeLessThan(plain)
    expect(boundOf([{ ...bent, lateDecayPerS: 9 }]).sdCents(0, 1)).toBeGreaterThan(plain)
  })

  it('is one of a single slope as long as nobody says when the knee comes', () => {
    const single = boundOf([{ k: 1, frequencyHz: 100, amplitude: 1, decayPerS: 8 }], null)
    expect(boundOf([bent], null).sdCents(0.2, 1) / single.sdCents(0.2, 1)).toBeCloseTo(1, 12)
  })

  it('passes without a step from spans of a few periods to longer ones, after the knee too', () => {
    const [short, long] = [0.0399, 0.0401].map((spanS) => boundOf([bent]).sdCents(0.5, 0.5 + spanS))
    // sd goes with span^-1.5: 0.75 % for 0.5 % of span; closed form and matrix of one tone differ by a few per cent at four periods.
    expect(short / long).toBeGreaterThan(0.95)
    expect(short / long).toBeLessThan(1.08)
  })
})

describe('two polarisations of a partial', () => {
  const first: Partial = { k: 1, frequencyHz: 100, amplitude: 0.3, decayPerS: 2 }
  const second: Partial = { ...first, amplitude: 0.4, polarisation: 2, frequencyHz: 100 * 2 ** (2 / 1200) }

  it('are one line with the power of both', () => {
    const one = boundOf([{ ...first, amplitude: 0.5 }]).sdCents(0, 0.5)
    // 0.3^2 + 0.4^2 = 0.5^2; their mean lies 1.28 c higher, and cents from there are 0.07 % fewer Hz.
    expect(Math.abs(boundOf([first, second]).sdCents(0, 0.5) / one - 1)).toBeLessThan(1e-3)
  })

  it('are so in spans of under four periods too, where two lines would take all information from each other', () => {
    const one = boundOf([{ ...first, amplitude: 0.5 }]).sdCents(0, 0.03)
    expect(Math.abs(boundOf([first, second]).sdCents(0, 0.03) / one - 1)).toBeLessThan(1e-3)
    const asTwo = boundOf([first, { ...second, k: 2 }]).sdCents(0, 0.03)
    expect(asTwo / one).toBeGreaterThan(10)
  })

  it('that fall each in its own way have the information of the summed envelope', () => {
    const slow: Partial = { ...second, decayPerS: 0.8, lateDecayPerS: 0.5, frequencyHz: 100 }
    const summed = summedSdCents(
      (t) => Math.sqrt(0.09 * Math.exp(-4 * t) + 0.16 * Math.exp(-1.6 * Math.min(t, kneeS) - Math.max(0, t - kneeS))),
      ...([100, 0.1, 1.1] as const),
    )
    expect(boundOf([first, slow]).sdCents(0.1, 1.1) / summed).toBeCloseTo(1, 5)
  })

  it('widen the moment from which a claim is allowed by what lies between them', () => {
    // Equal powers 2 c apart: 1 c to either side of the mean. 1.96 x 1 c is the least that a claim may be off.
    const pair = [first, { ...second, amplitude: 0.3 }]
    const together = [first, { ...second, amplitude: 0.3, frequencyHz: 100 }]
    expect(boundOf(pair).lockS(1.9)).toBeNaN()
    expect(boundOf(together).lockS(1.9)).toBeGreaterThan(0)
    expect(boundOf(pair).lockS(2.5)).toBeGreaterThan(1.2 * boundOf(together).lockS(2.5))
    const allowed = boundOf(pair).lockS(2.5)
    const sd = boundOf(pair).sdCents(0, allowed)
    // The time is found to a hundredth of itself, and sd goes with its power -1.5.
    expect(Math.abs((1.96 * Math.hypot(sd, 1)) / 2.5 - 1)).toBeLessThan(0.015)
  })
})
