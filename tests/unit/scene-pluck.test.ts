import { describe, expect, it } from 'vitest'
import { fill } from '../../src/core/fields.ts'
import { addPluck, pluckPartials } from '../../src/core/scene/pluck.ts'
import { pluckFields, type SyntheticPluck } from '../../src/core/scene/scene.ts'
import { pluckTruth } from '../../src/core/scene/truth.ts'

const pluckOf = (given: Record<string, number>): SyntheticPluck => fill(pluckFields, given)

/** The law evaluated sample by sample with the engine's own functions; the glide's phase by its defining integral. */
function direct(pluck: SyntheticPluck, sampleRateHz: number, length: number): Float64Array {
  const { onsetS, pickRatio, glideCents, glideS } = pluck
  const partials = pluckPartials(pluck, sampleRateHz)
  const q = (Math.LN2 / 1200) * glideCents
  // Integral of 2^(g(t)/1200) as the exponential integral's series, to the last digit of a double.
  const warped = (t: number): number => {
    let sum = t
    let term = 1
    for (let m = 1; m < 12; m++) {
      term *= q / m
      sum += (term * glideS * (1 - Math.exp((-m * t) / glideS))) / m
    }
    return sum
  }
  return Float64Array.from({ length }, (_, n) => {
    const t = n / sampleRateHz - onsetS
    if (t < -1e-9) return 0
    const tau = warped(t)
    return partials.reduce((sum, { k, frequencyHz, amplitude, decayPerS }) => {
      const sign = pickRatio === 0 ? 1 : Math.sign(Math.sin(Math.PI * k * pickRatio))
      return sum + sign * amplitude * Math.exp(-decayPerS * t) * Math.sin(2 * Math.PI * frequencyHz * tau)
    }, 0)
  })
}

function largestDifference(pluck: SyntheticPluck, sampleRateHz: number, length: number): number {
  const rendered = new Float64Array(length)
  addPluck(rendered, pluck, sampleRateHz)
  const wanted = direct(pluck, sampleRateHz, length)
  return rendered.reduce((most, value, n) => Math.max(most, Math.abs(value - wanted[n])), 0)
}

describe('the samples of a pluck', () => {
  // Rounding of the recurrence (oscillators.ts): under 1e-9 of a voice. -126 dB of a voice where a glide lives: 5e-7 of the
  // highest ones, whose amplitudes are the smallest; 1e-7 of full scale is an eighth of the last bit of a 24-bit sample.
  it('are the law, evaluated directly', () => {
    const plain = pluckOf({ onsetS: 0.1, firstPartialHz: 110, stiffness: 4e-5, decayS: 3, pickRatio: 0.2 })
    expect(largestDifference(plain, 48000, 24000)).toBeLessThan(1e-9)
  })
  it('are the law for an onset between two samples', () => {
    expect(
      largestDifference(pluckOf({ onsetS: 0.01234567, firstPartialHz: 329.6, decayS: 2 }), 44100, 8000),
    ).toBeLessThan(1e-9)
  })
  it('are the law while the pitch glides, and after', () => {
    const glides = { onsetS: 0.02, firstPartialHz: 147, stiffness: 1e-4, decayS: 4, highDecayRatio: 0.5 }
    const off = (given: Record<string, number>, sampleRateHz: number, lengthS: number): number => {
      const pluck = pluckOf({ ...glides, ...given })
      // The last 1e-4 c of the glide are dropped: a delay of that share of glideS, times the steepest slope there can be.
      const slope = pluckPartials(pluck, sampleRateHz).reduce(
        (sum, p) => sum + p.amplitude * 2 * Math.PI * p.frequencyHz,
        0,
      )
      const delayS = ((1e-4 * Math.LN2) / 1200) * pluck.glideS
      return largestDifference(pluck, sampleRateHz, lengthS * sampleRateHz) / (1e-7 + delayS * slope)
    }
    expect(off({ glideCents: 3 }, 48000, 0.5)).toBeLessThan(1)
    expect(off({ glideCents: 3 }, 8000, 2)).toBeLessThan(1)
    expect(off({ glideCents: -9, glideS: 0.03 }, 48000, 0.5)).toBeLessThan(1)
    expect(off({ glideCents: 50, glideS: 0.01 }, 48000, 0.2)).toBeLessThan(1)
    expect(off({ glideCents: 50, glideS: 0.01 }, 8000, 0.5)).toBeLessThan(1)
    expect(off({ glideCents: 12, glideS: 5 }, 192000, 0.1)).toBeLessThan(1)
  })
  it('hold the law for the lowest string at the highest rate, to the end of ten seconds', () => {
    const length = 1_920_000
    const rendered = new Float64Array(length)
    const pluck = pluckOf({ firstPartialHz: 4000, decayS: 300 })
    addPluck(rendered, pluck, 192000)
    const low = new Float64Array(length)
    const lowPluck = pluckOf({ firstPartialHz: 15.001, pickRatio: 0.5, highDecayRatio: 0.05, decayS: 20 })
    addPluck(low, lowPluck, 192000)
    for (const [samples, each] of [
      [rendered, pluck],
      [low, lowPluck],
    ] as const) {
      const partials = pluckPartials(each, 192000)
      for (let n = length - 200; n < length; n++) {
        const t = n / 192000
        const wanted = partials.reduce((sum, { k, frequencyHz, amplitude, decayPerS }) => {
          const sign = each.pickRatio === 0 ? 1 : Math.sign(Math.sin(Math.PI * k * each.pickRatio))
          return sum + sign * amplitude * Math.exp(-decayPerS * t) * Math.sin(2 * Math.PI * frequencyHz * t)
        }, 0)
        // Frequency good to 5e-10 of itself (oscillators.ts): 15 Hz for 10 s turn 940 rad, 5e-7 rad; voices that stopped at
        // -120 dB leave up to 1e-6 of the strongest start, 0.17 here.
        expect(Math.abs(samples[n] - wanted)).toBeLessThan(3e-6)
      }
    }
  })
  it('are nothing before the onset and start from zero', () => {
    const rendered = new Float64Array(4800)
    addPluck(rendered, pluckOf({ onsetS: 0.07, firstPartialHz: 110 }), 48000)
    expect(rendered.subarray(0, 3361).every((value) => value === 0)).toBe(true)
    expect(rendered[3361]).not.toBe(0)
  })
})

describe('the partials of a pluck', () => {
  it('follow the stiff-string law with partial 1 exactly where it was put', () => {
    const partials = pluckPartials(pluckOf({ firstPartialHz: 82.41, stiffness: 1e-4 }), 48000)
    expect(partials[0].frequencyHz).toBe(82.41)
    // Partial 10 over ten times partial 1: 600 lg2((1 + 100 B) / (1 + B)) c.
    const cents = 1200 * Math.log2(partials[9].frequencyHz / (10 * 82.41))
    expect(cents).toBeCloseTo(600 * Math.log2(1.01 / 1.0001), 9)
  })
  it('end at 0.45 of the rate, at the top of the glide', () => {
    expect(pluckPartials(pluckOf({ firstPartialHz: 1000 }), 48000)).toHaveLength(21)
    // 21 kHz is under 21.6 kHz, but not once it is a third of a semitone up: 21 000 * 2^(50/1200) = 21 615 Hz.
    expect(pluckPartials(pluckOf({ firstPartialHz: 1000, glideCents: 50 }), 48000)).toHaveLength(20)
    expect(pluckPartials(pluckOf({ firstPartialHz: 1000, glideCents: -50 }), 48000)).toHaveLength(21)
  })
  it('are missing where the string was plucked at their node', () => {
    const ks = pluckPartials(pluckOf({ firstPartialHz: 1000, pickRatio: 0.2 }), 48000).map(({ k }) => k)
    expect(ks).toEqual([1, 2, 3, 4, 6, 7, 8, 9, 11, 12, 13, 14, 16, 17, 18, 19, 21])
  })
  it('have the amplitudes of |sin(pi k p)| / k', () => {
    const [first, second, third] = pluckPartials(pluckOf({ firstPartialHz: 1000, pickRatio: 1 / 4 }), 48000)
    // sin 45, 90, 135 degrees over 1, 2, 3.
    expect(second.amplitude / first.amplitude).toBeCloseTo(Math.SQRT2 / 2, 12)
    expect(third.amplitude / first.amplitude).toBeCloseTo(1 / 3, 12)
  })
  it('are those of a mean square of 0.01 over the first second', () => {
    const steady = pluckPartials(pluckOf({ firstPartialHz: 5000, pickRatio: 0.5 }), 8000 * 2)
    expect(steady[0].amplitude).toBeCloseTo(0.1 * Math.SQRT2, 12)
    const fading = pluckPartials(pluckOf({ firstPartialHz: 5000, pickRatio: 0.5, decayS: 2 }), 16000)
    // Amplitude 10^(-3t/2) squared is 10^(-3t): its mean over a second is (1 - 1/1000) / (3 ln 10).
    expect(fading[0].amplitude ** 2 / 2).toBeCloseTo((0.01 * 3 * Math.log(10)) / 0.999, 12)
  })
  it('decay by the power law: the geometric mean of partials 4 to 7 is highDecayRatio of partial 1', () => {
    const partials = pluckPartials(pluckOf({ decayS: 6, highDecayRatio: 0.5 }), 48000)
    expect(partials[0].decayPerS).toBeCloseTo(Math.log(1000) / 6, 12)
    const product = [3, 4, 5, 6].reduce((all, i) => all * (Math.log(1000) / partials[i].decayPerS), 1)
    expect(product ** 0.25).toBeCloseTo(3, 12)
  })
  it('sound for ever without a decay', () => {
    expect(pluckPartials(pluckOf({}), 48000).every(({ decayPerS }) => decayPerS === 0)).toBe(true)
  })
  it('are refused when the rate cannot carry even the first', () => {
    expect(() => pluckPartials(pluckOf({ firstPartialHz: 4000 }), 8000)).toThrow(
      '4000 is above 3600 Hz, the most that 8000 Hz can carry',
    )
  })
})

describe('the truth of a pluck', () => {
  it('is the first partial every 10 ms, and in the last row the settled pitch exactly', () => {
    const truth = pluckTruth(pluckOf({ onsetS: 0.2, firstPartialHz: 110.7, glideCents: 10, glideS: 0.1 }), 2.5)
    expect(truth.settledHz).toBe(110.7)
    expect(truth.track[0].timeS).toBe(0.2)
    expect(truth.track[0].f0Hz).toBeCloseTo(110.7 * 2 ** (10 / 1200), 10)
    expect(truth.track[10].timeS).toBeCloseTo(0.3, 12)
    // One time constant on, 1/e of the glide is left.
    expect(1200 * Math.log2(truth.track[10].f0Hz / 110.7)).toBeCloseTo(10 / Math.E, 9)
    expect(truth.track.at(-1)).toEqual({ timeS: 2.5, f0Hz: 110.7 })
  })
  it('ends on the settled pitch even where the glide outlives the take', () => {
    const truth = pluckTruth(pluckOf({ firstPartialHz: 82.5, glideCents: 10, glideS: 5 }), 0.5)
    expect(truth.track.at(-2)?.f0Hz).toBeGreaterThan(82.9)
    expect(truth.track.at(-1)?.f0Hz).toBe(82.5)
  })
})
