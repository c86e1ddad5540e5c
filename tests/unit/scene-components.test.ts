/** What the settings of a pluck do to its partials and samples, worked out by hand. */
import { describe, expect, it } from 'vitest'
import { fill } from '../../src/core/fields.ts'
import { randomStream } from '../../src/core/maths/random.ts'
import { addAttack } from '../../src/core/scene/attack.ts'
import { kindIds, kindPluck, kindPluckValues } from '../../src/core/scene/kinds.ts'
import { addPluck, pluckPartials } from '../../src/core/scene/pluck.ts'
import { type Partial, type PartialLists, pluckFields, type SyntheticPluck } from '../../src/core/scene/scene.ts'
import { pluckTruth } from '../../src/core/scene/truth.ts'

const pluckOf = (given: Record<string, number>, lists: PartialLists = {}): SyntheticPluck => ({
  ...fill(pluckFields, given),
  ...lists,
})
const rateHz = 48000
const partialsOf = (given: Record<string, number>, seed = 1, sampleRateHz = rateHz): Partial[] =>
  pluckPartials(pluckOf(given), sampleRateHz, { seed, index: 0 })

const db = (over: number, under: number): number => 20 * Math.log10(over / under)
const cents = (over: number, under: number): number => 1200 * Math.log2(over / under)
const lawHz = (k: number, f1Hz: number, b: number): number => k * f1Hz * Math.sqrt((1 + b * k * k) / (1 + b))

describe('levels of partials', () => {
  it('fall by the slope per octave', () => {
    const [first, second, , fourth] = partialsOf({ levelSlopeDb: -10 })
    expect(db(second.amplitude, first.amplitude)).toBeCloseTo(-10, 9)
    expect(db(fourth.amplitude, first.amplitude)).toBeCloseTo(-20, 9)
  })
  it('put partial 1 under the strongest of the others', () => {
    for (const given of [{}, { levelScatterDb: 7 }, { levelSlopeDb: 3 }]) {
      const [first, ...others] = partialsOf({ ...given, firstPartialLevelDb: -15 })
      const strongest = Math.max(...others.map(({ amplitude }) => amplitude))
      expect(db(first.amplitude, strongest)).toBeCloseTo(-15, 9)
    }
  })
  it('let no other be stronger than partial 1 at 0 dB', () => {
    for (let seed = 0; seed < 50; seed++) {
      const [first, ...others] = partialsOf({ levelScatterDb: 13, levelSlopeDb: -5 }, seed)
      expect(others.every(({ amplitude }) => amplitude <= first.amplitude * (1 + 1e-12))).toBe(true)
    }
  })
  it('scatter by their standard deviation, partial 1 not', () => {
    const offs: number[] = []
    for (let seed = 0; seed < 100; seed++) {
      const partials = partialsOf({ levelScatterDb: 3, firstPartialHz: 500 }, seed)
      const plain = partialsOf({ firstPartialHz: 500 })
      const over = partials.map(({ amplitude }, i) => db(amplitude, plain[i]?.amplitude ?? Number.NaN)).slice(1, 21)
      const mean = over.reduce((sum, value) => sum + value, 0) / over.length
      offs.push(...over.map((value) => value - mean))
    }
    // 20 partials a string share a mean: 19 degrees of freedom each, 1900 in all; sd of the estimate 3 / sqrt(3800) = 0.049.
    const sd = Math.sqrt(offs.reduce((sum, value) => sum + value * value, 0) / 1900)
    expect(Math.abs(sd - 3)).toBeLessThan(4 * 0.049)
  })
  it('may be listed', () => {
    const lists = { partialLevelsDb: [-6, 0, -20], partialDecaysS: [4, 2], partialOffsetsCents: [0, 3] }
    const partials = pluckPartials(pluckOf({ firstPartialHz: 100, decayS: 9 }, lists), rateHz)
    expect(partials).toHaveLength(3)
    const [first, second, third] = partials
    expect(db(first.amplitude, second.amplitude)).toBeCloseTo(-6, 9)
    expect(db(third.amplitude, second.amplitude)).toBeCloseTo(-20, 9)
    const t60s = partials.map(({ decayPerS }) => Math.log(1000) / decayPerS)
    for (const [i, t60S] of [4, 2, 2].entries()) expect(t60s[i]).toBeCloseTo(t60S, 9)
    expect(second.deviationCents).toBe(3)
    expect(third.frequencyHz).toBe(300)
  })
})

describe('partials off the law', () => {
  it('are where offset and scatter put them', () => {
    const b = 1e-4
    const offs: number[] = []
    for (let seed = 0; seed < 40; seed++) {
      const given = { firstPartialOffsetCents: -3.4, partialScatterCents: 1.2, stiffness: b, firstPartialHz: 200 }
      const [first, ...others] = partialsOf(given, seed)
      expect(cents(first.frequencyHz, 200)).toBeCloseTo(-3.4, 9)
      for (const { k, frequencyHz, deviationCents } of others) {
        const off = cents(frequencyHz, lawHz(k, 200, b))
        expect(off).toBeCloseTo(deviationCents ?? 0, 8)
        offs.push(off)
      }
    }
    const n = offs.length
    const mean = offs.reduce((sum, value) => sum + value, 0) / n
    const sd = Math.sqrt(offs.reduce((sum, value) => sum + value * value, 0) / n)
    // Four standard deviations of a mean and of an estimate of sd.
    expect(Math.abs(mean)).toBeLessThan((4 * 1.2) / Math.sqrt(n))
    expect(Math.abs(sd - 1.2)).toBeLessThan((4 * 1.2) / Math.sqrt(2 * n))
  })
  it('do not depend on the rate, and do on seed and place', () => {
    const given = { partialScatterCents: 2, levelScatterDb: 5 }
    const deviations = (partials: readonly Partial[]): (number | undefined)[] =>
      partials.slice(0, 20).map(({ deviationCents }) => deviationCents)
    const here = deviations(partialsOf(given, 3))
    expect(deviations(partialsOf(given, 3, 8000))).toEqual(here)
    expect(deviations(partialsOf(given, 4))).not.toEqual(here)
    expect(deviations(pluckPartials(pluckOf(given), rateHz, { seed: 3, index: 1 }))).not.toEqual(here)
  })
  it('keep a scatter of levels from moving a scatter of pitch', () => {
    const pitch = partialsOf({ partialScatterCents: 2 }).map(({ frequencyHz }) => frequencyHz)
    const both = partialsOf({ partialScatterCents: 2, levelScatterDb: 1 }).map(({ frequencyHz }) => frequencyHz)
    expect(both).toEqual(pitch)
  })
})

describe('a second polarisation', () => {
  const given = { firstPartialHz: 110, decayS: 3, polMix: 0.4, polCents: 1.5, polDecay: 2.5 }
  it('is a component of its own', () => {
    const [first, second] = partialsOf(given)
    expect(first.polarisation).toBeUndefined()
    expect(second).toMatchObject({ k: 1, polarisation: 2 })
    expect(second.amplitude / first.amplitude).toBeCloseTo(0.4, 12)
    expect(cents(second.frequencyHz, first.frequencyHz)).toBeCloseTo(1.5, 9)
    expect(first.decayPerS / second.decayPerS).toBeCloseTo(2.5, 12)
  })
  it('leaves the level at -20 dB of full scale', () => {
    for (const polCents of [0, 1.5, 10]) {
      const samples = new Float64Array(rateHz)
      addPluck(samples, pluckOf({ ...given, polCents, lateEarlyRatio: 0.7 }), rateHz)
      const meanSquare = samples.reduce((sum, value) => sum + value * value, 0) / rateHz
      // Cross terms between different partials, under a percent (components.ts).
      expect(Math.abs(meanSquare / 0.01 - 1)).toBeLessThan(0.01)
    }
  })
})

describe('two slopes', () => {
  it('are listed, and leave one slope unlisted', () => {
    const [first] = partialsOf({ decayS: 6, lateEarlyRatio: 1.8 })
    expect(Math.log(1000) / first.decayPerS).toBeCloseTo(6, 9)
    expect(Math.log(1000) / (first.lateDecayPerS ?? 0)).toBeCloseTo(10.8, 9)
    expect(partialsOf({ decayS: 6 })[0]).not.toHaveProperty('lateDecayPerS')
  })
  it.each([
    ['without a glide', { glideCents: 0 }, 1e-9],
    // What the bent axis leaves out (oscillators.ts): 1e-7 of full scale, and 9 ns of the last 1e-4 c.
    ['with a glide', { glideCents: 5, glideS: 0.15 }, 2e-5],
  ] as const)('bend the law at 0.4 s, %s', (_, glide, tolerance) => {
    const pluck = pluckOf({
      onsetS: 0.1,
      firstPartialHz: 110,
      decayS: 2,
      lateEarlyRatio: 0.5,
      polMix: 0.3,
      polCents: 4,
      ...glide,
    })
    const samples = new Float64Array(48000)
    addPluck(samples, pluck, rateHz)
    const partials = pluckPartials(pluck, rateHz)
    const q = (Math.LN2 / 1200) * pluck.glideCents
    for (let n = 4801; n < samples.length; n += 7) {
      const t = n / rateHz - 0.1
      let bent = t
      let term = 1
      for (let m = 1; m < 8; m++) {
        term *= q / m
        bent += (term * 0.15 * (1 - Math.exp((-m * t) / 0.15))) / m
      }
      const wanted = partials.reduce((sum, { frequencyHz, amplitude, decayPerS, lateDecayPerS = decayPerS }) => {
        const fall = t < 0.4 ? decayPerS * t : decayPerS * 0.4 + lateDecayPerS * (t - 0.4)
        return sum + amplitude * Math.exp(-fall) * Math.sin(2 * Math.PI * frequencyHz * bent)
      }, 0)
      // Voices that stop at -120 dB of the strongest leave 1e-6 of 0.1 each at most, and few do at once.
      expect(Math.abs((samples[n] as number) - wanted)).toBeLessThan(tolerance + 1e-6)
    }
  })
})

describe('a fret', () => {
  it('doubles the stiffness every six and halves decays every twelve', () => {
    const open = partialsOf({ stiffness: 2e-5, decayS: 8, firstPartialHz: 220 })
    const at12 = partialsOf({ stiffness: 2e-5, decayS: 8, firstPartialHz: 220, fret: 12 })
    expect(at12[0].frequencyHz).toBe(220)
    expect(cents(at12[9].frequencyHz, lawHz(10, 220, 8e-5))).toBeCloseTo(0, 9)
    expect(at12[0].decayPerS / open[0].decayPerS).toBeCloseTo(2, 12)
  })
})

describe('the noise of a pluck', () => {
  const attackOf = (given: Record<string, number>): Float64Array => {
    const samples = new Float64Array(rateHz)
    addAttack(samples, pluckOf({ onsetS: 0.2, ...given }), rateHz, randomStream(1, 'attack'))
    return samples
  }
  it('is absent by default', () => {
    expect(attackOf({ attackDb: 10 }).every((value) => value === 0)).toBe(true)
  })
  it('has its mean level over its own length, and nothing outside', () => {
    const samples = attackOf({ attackDb: -6, attackMs: 25 })
    const power = (from: number, to: number): number =>
      samples.subarray(from, to).reduce((sum, value) => sum + value * value, 0) / (to - from)
    expect(10 * Math.log10(power(9600, 10800) / 0.01)).toBeCloseTo(-6, 9)
    expect(power(0, 9600) + power(10800, rateHz)).toBe(0)
  })
})

describe('the truth of bent partials', () => {
  it('is the law moved by the power-weighted mean of the first six', () => {
    const component = (k: number, amplitude: number, deviationCents: number): Partial => ({
      ...{ k, amplitude, deviationCents, frequencyHz: 100 * k, decayPerS: 0 },
    })
    // Powers 9 : 16 : 1 by hand: (9 * 2 - 16 * 1 + 1 * 6) / 26 = 4 / 13. The seventh counts for nothing.
    const partials = [component(1, 3, 2), component(2, 4, -1), component(6, 1, 6), component(7, 50, 50)]
    const { settledHz } = pluckTruth(pluckOf({ firstPartialHz: 100 }), 1, partials)
    expect(cents(settledHz, 100)).toBeCloseTo(4 / 13, 9)
  })
  it('weighs by the power of the first second, both slopes in it', () => {
    // exp(-2 a t) with a = ln 10 / 0.8 to 0.4 s, then for ever: mean (1 - 1/10) 0.4 / ln 10 + 0.6 / 10 = 0.216346.
    const decaying = { k: 1, frequencyHz: 100, amplitude: 1, decayPerS: Math.log(10) / 0.8, lateDecayPerS: 0 }
    const steady = { k: 2, frequencyHz: 200, amplitude: 1, decayPerS: 0 }
    const partials = [
      { ...decaying, deviationCents: 10 },
      { ...steady, deviationCents: 0 },
    ]
    const share = (0.9 * 0.4) / Math.log(10) + 0.06
    const { settledHz } = pluckTruth(pluckOf({ firstPartialHz: 100 }), 1, partials)
    expect(cents(settledHz, 100)).toBeCloseTo((10 * share) / (1 + share), 9)
  })
  it('is exactly firstPartialHz without deviations, whatever else is set', () => {
    const pluck = pluckOf({ firstPartialHz: 82.41, stiffness: 1e-4, decayS: 3, levelScatterDb: 7, lateEarlyRatio: 0.5 })
    expect(pluckTruth(pluck, 2, pluckPartials(pluck, rateHz)).settledHz).toBe(82.41)
  })
})

describe('kinds', () => {
  it.each(kindIds)('%s: every value is allowed and has a source', (kind) => {
    expect(fill(pluckFields, kindPluckValues(kind, 110))).toMatchObject(kindPluckValues(kind, 110))
    for (const [name, { basis, source }] of Object.entries(kindPluck(kind, 41))) {
      expect(source.length, name).toBeGreaterThan(5)
      expect(source.startsWith('assumption'), name).toBe(basis === 'assumption')
    }
  })
})
