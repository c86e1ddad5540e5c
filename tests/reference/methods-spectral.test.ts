/**
 * Spectral methods on their papers' cases: harmonic complexes with and without their fundamental (Hermes 1988, JASA
 * 83:257-264), products of spectra (Noll 1969), phase gained over a sample (Flanagan & Golden 1966; Brown & Puckette 1993,
 * JASA 94:662-667), combs over peaks (Martin 1982), a Hann line from two points (Grandke 1983, IEEE Trans. Instrum. Meas.
 * 32:350-355). Weights and equations are from memory; what is checked is arithmetic on sounds whose pitch is printed.
 */
import { describe, expect, it } from 'vitest'
import { methodById } from '../../src/core/methods/index.ts'
import { listen } from '../../src/core/methods/listen.ts'

const sampleRateHz = 48000
const cents = (hz: number, referenceHz: number): number => 1200 * Math.log2(hz / referenceHz)

const complex = (
  f0Hz: number,
  harmonics: readonly number[],
  amplitude: (n: number) => number = () => 1,
): Float32Array =>
  Float32Array.from({ length: 8192 }, (_, t) =>
    harmonics.reduce(
      (sum, n) => sum + 0.1 * amplitude(n) * Math.sin((2 * Math.PI * n * f0Hz * t) / sampleRateHz + n * n),
      0,
    ),
  )

const heard = (id: string, samples: Float32Array, values: object = {}): number[] =>
  listen(
    methodById(id),
    samples,
    { sampleRateHz, lowestHz: 50, highestHz: 1000, targetHz: null, room: null },
    { hop: 1024, ...values },
  ).map(({ f0Hz }) => f0Hz)

const range = (from: number, to: number): number[] => Array.from({ length: to - from + 1 }, (_, i) => from + i)

/**
 * Cents each may err on an exactly harmonic sound. A grid of 25 c and a parabola over a line that is no parabola: a quarter of
 * a step. A sixth of a bin of 11.7 Hz at harmonic 5, read to a tenth, is 0.04 Hz: 0.7 c at 100 Hz; leakage from neighbours
 * eight bins away, under 1e-3, moves a bin's worth of that, 0.2 c at harmonic 1. Parabolas of single lines: 0.01 bins over n.
 * Phase advance: the line 8.5 bins and 100 Hz away leaks 1 / (pi d (d^2 - 1)) = 5.2e-4, and pulls by that part of its distance.
 */
const tolerance: Readonly<Record<string, number>> = {
  'harmonic-sum': 2,
  shs: 6,
  hps: 2,
  'phase-vocoder': 1,
  'multi-comb': 2,
  'swipe-prime': 6,
}

describe.each(Object.keys(tolerance))('%s', (id) => {
  // Pitches of speech and of the middle of the guitar; 4096 samples hold eight bins between partials of 100 Hz.
  it.each([100, 147, 220, 311])('hears %d Hz in ten equal harmonics, and in ten that fall as 1 / n', (f0Hz) => {
    const falling = (n: number): number => 1 / n
    // Of ten equal harmonics the even ones make as high a product of five as the first five: Noll's product needs a slope.
    for (const law of id === 'hps' ? [falling] : [() => 1, falling]) {
      const readings = heard(id, complex(f0Hz, range(1, 10), law))
      expect(readings).toHaveLength(5)
      for (const hz of readings) expect(Math.abs(cents(hz, f0Hz))).toBeLessThan(tolerance[id] as number)
    }
  })
})

describe('the missing fundamental', () => {
  // The residue: harmonics alone sound at the pitch whose harmonics they are. Hermes's sums vote for it by construction.
  it.each(['harmonic-sum', 'shs', 'multi-comb'])('%s hears 200 Hz in harmonics 2 to 6', (id) => {
    for (const hz of heard(id, complex(200, range(2, 6)))) {
      expect(Math.abs(cents(hz, 200))).toBeLessThan(tolerance[id] as number)
    }
  })

  it('spectral-peak, which needs the line itself, does not', () => {
    for (const hz of heard('spectral-peak', complex(200, range(2, 6)))) expect(hz).toBeGreaterThan(390)
  })
})

describe('sub-harmonic summation', () => {
  it('a pure tone has its own pitch: sub-harmonics collect 0.84^(n - 1) of it', () => {
    for (const hz of heard('shs', complex(440, [1]))) expect(Math.abs(cents(hz, 440))).toBeLessThan(6)
  })
})

describe("SWIPE'", () => {
  it('likes a sawtooth best, and by primes alone not its octave below', () => {
    // Its own signal: harmonics as 1 / n. Half the pitch would need harmonic 1, 3, 5 ... of the half, which are not there.
    for (const f0Hz of [90, 130, 250, 400]) {
      const saw = complex(f0Hz, range(1, Math.floor(5000 / f0Hz)), (n) => 1 / n)
      for (const hz of heard('swipe-prime', saw)) expect(Math.abs(cents(hz, f0Hz))).toBeLessThan(6)
    }
  })
})

describe('phase advance', () => {
  it('a lone Hann line gains exactly 2 pi f / rate a sample', () => {
    for (const f0Hz of [233.08, 440, 622.25]) {
      for (const hz of heard('phase-vocoder', complex(f0Hz, [1]))) {
        // The mirror image, 2 f away, 40 bins and more, leaks 1 / (pi 40^3) = 5e-6 and pulls by that part of 2 f: 0.017 c.
        expect(Math.abs(cents(hz, f0Hz))).toBeLessThan(0.018)
      }
    }
  })

  it('reads the first partial and no other: a stiff string comes out true', () => {
    const stiff = Float32Array.from({ length: 8192 }, (_, t) =>
      range(1, 10).reduce((sum, n) => {
        const hz = n * 220 * Math.sqrt((1 + 3e-4 * n * n) / (1 + 3e-4))
        return sum + (0.1 / n) * Math.sin((2 * Math.PI * hz * t) / sampleRateHz)
      }, 0),
    )
    // The next partial, half as strong, 19 bins and 220 Hz away, leaks 0.5 / (pi 19^3) = 2.3e-5, 0.04 c;
    // the mirror image, 37 bins and 440 Hz, 6e-6, 0.02 c.
    for (const hz of heard('phase-vocoder', stiff)) expect(Math.abs(cents(hz, 220))).toBeLessThan(0.065)
    // The others weigh all partials: partial 10 lies 600 log2(1.03 / 1.0003) = 25 c high.
    for (const hz of heard('shs', stiff, { topHz: 3000 })) expect(cents(hz, 220)).toBeGreaterThan(0.5)
  })
})

describe('Hann lines by two points (Grandke 1983)', () => {
  it('spectral-peak reads a lone line exactly', () => {
    for (const f0Hz of [233.08, 440, 622.25]) {
      for (const hz of heard('spectral-peak', complex(f0Hz, [1]))) expect(Math.abs(cents(hz, f0Hz))).toBeLessThan(1e-2)
    }
  })
})

describe('zero crossings', () => {
  it('counts whole periods of what the low-pass leaves', () => {
    for (const f0Hz of [60, 110, 196]) {
      const readings = heard(
        'zero-crossing',
        complex(f0Hz, range(1, 6), (n) => 1 / n),
      )
      // The filter's start is in the first frame; crossings by straight lines err by (2 pi f / rate)^2 / 16 of a sample.
      for (const hz of readings.slice(1)) expect(Math.abs(cents(hz, f0Hz))).toBeLessThan(0.5)
      expect(readings.length).toBeGreaterThan(3)
    }
  })

  it('declines what is no period: noise through the low-pass', () => {
    let state = 5
    const noise = Float32Array.from({ length: 48000 }, () => {
      state = (Math.imul(state, 1664525) + 1013904223) | 0
      return state / 2 ** 31
    })
    const readings = heard('zero-crossing', noise)
    // Periods of noise in a band from 0 scatter by about half of their mean.
    expect(readings.filter((hz) => !Number.isNaN(hz)).length).toBeLessThan(0.1 * readings.length)
  })
})
