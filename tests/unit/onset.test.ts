import { describe, expect, it } from 'vitest'
import { randomStream } from '../../src/core/maths/random.ts'
import { OnsetFinder } from '../../src/core/methods/onset.ts'
import { RisePeriod } from '../../src/core/methods/onsetperiod.ts'
import { Problem } from '../../src/core/problem.ts'

interface Pluck {
  readonly atS: number
  readonly f1Hz: number
  readonly amplitude: number
}

/** Ten partials falling as 1 / k over white noise. */
function take(rateHz: number, durationS: number, noise: number, plucks: readonly Pluck[]): Float64Array {
  const samples = new Float64Array(Math.round(rateHz * durationS))
  randomStream(5, 'onset').fillGaussian(samples)
  for (let i = 0; i < samples.length; i++) {
    samples[i] = noise * (samples[i] as number)
    for (const { atS, f1Hz, amplitude } of plucks) {
      const t = i / rateHz - atS
      for (let k = 1; t >= 0 && k <= 10; k++) {
        samples[i] =
          (samples[i] as number) + (amplitude / k) * Math.exp(-3 * t) * Math.sin(2 * Math.PI * k * f1Hz * t + k)
      }
    }
  }
  return samples
}

const told = (finder: OnsetFinder, samples: Float64Array): { at: number; heardAt: number }[] => {
  const all: { at: number; heardAt: number }[] = []
  samples.forEach((sample, i) => {
    if (finder.push(sample)) all.push({ at: finder.onsetSample, heardAt: i })
  })
  return all
}

describe('the onset finder', () => {
  it.each([44100, 48000, 96000])(
    'finds a pluck at 20 dB at %d Hz within 8 ms, aimed or not, and places it within 3 ms',
    (rateHz) => {
      for (const targetHz of [82.4, 329.6]) {
        for (const aim of [targetHz, null]) {
          const samples = take(rateHz, 1, 0.1, [{ atS: 0.4, f1Hz: targetHz, amplitude: 1 }])
          const finder = new OnsetFinder({ sampleRateHz: rateHz, targetHz: aim, room: null })
          const onsets = told(finder, samples)
          expect(onsets).toHaveLength(1)
          const [{ at, heardAt }] = onsets as [{ at: number; heardAt: number }]
          // Three looks of a millisecond.
          expect(Math.abs(at / rateHz - 0.4)).toBeLessThan(0.003)
          expect(heardAt / rateHz - 0.4).toBeLessThan(0.008)
          expect(finder.standing).toBe(aim === null ? 'open' : 'confirmed')
        }
      }
    },
  )

  it('finds a string plucked anew while it still rings', () => {
    const samples = take(48000, 1.6, 0.01, [
      { atS: 0.4, f1Hz: 110, amplitude: 1 },
      { atS: 1, f1Hz: 110.2, amplitude: 1 },
    ])
    const onsets = told(new OnsetFinder({ sampleRateHz: 48000, targetHz: 110, room: null }), samples)
    expect(onsets.map(({ at }) => Math.round(at / 4800))).toEqual([4, 10])
  })

  it('tells of a click and withdraws it', () => {
    const samples = take(48000, 1, 0.01, [])
    const click = new Float64Array(720)
    randomStream(6, 'click').fillGaussian(click)
    click.forEach((value, i) => {
      samples[24000 + i] = value * (1 - i / 720)
    })
    const finder = new OnsetFinder({ sampleRateHz: 48000, targetHz: 110, room: null })
    const onsets = told(finder, samples)
    expect(onsets).toHaveLength(1)
    expect(finder.standing).toBe('withdrawn')
    expect(finder.confidence).toBeLessThan(0.6)
  })

  it('does not tell of one tone that begins', () => {
    const samples = take(48000, 1, 0.1, [])
    for (let i = 24000; i < samples.length; i++) {
      const risen = Math.min(1, (i - 24000) / 1920)
      samples[i] = (samples[i] as number) + risen * Math.sin((2 * Math.PI * 1700 * i) / 48000)
    }
    expect(told(new OnsetFinder({ sampleRateHz: 48000, targetHz: 110, room: null }), samples)).toEqual([])
  })

  it('is held back by a loud room that was learnt', () => {
    const samples = take(48000, 1, 0.1, [{ atS: 0.4, f1Hz: 110, amplitude: 1 }])
    // Flat, a hundred times the string's power in any channel.
    const room = { binHz: 100, density: new Float64Array(241).fill(1) }
    expect(told(new OnsetFinder({ sampleRateHz: 48000, targetHz: 110, room }), samples)).toEqual([])
  })

  it('refuses rates and targets that make no sense', () => {
    const open = (sampleRateHz: number, targetHz: number | null) => () =>
      new OnsetFinder({ sampleRateHz, targetHz, room: null })
    expect(open(4000, null)).toThrow(Problem)
    expect(open(Number.NaN, null)).toThrow(Problem)
    expect(open(48000, 5)).toThrow('5 is not between 20 and 14400 Hz')
    expect(open(48000, Number.NaN)).toThrow(Problem)
    expect(open(8000, 3000)).toThrow(Problem)
  })
})

describe('the period of what came up', () => {
  const agreement = (hz: number | null): number => {
    const period = new RisePeriod(8000, 110, 3000)
    const noise = new Float64Array(8000)
    randomStream(7, 'period').fillGaussian(noise)
    for (let i = 0; i < 4000; i++) period.push(0.01 * (noise[i] as number))
    for (let i = 0; i < period.stretch; i++) {
      let sum = hz === null ? (noise[4000 + i] as number) : 0.01 * (noise[4000 + i] as number)
      for (let k = 1; hz !== null && k <= 10; k++) sum += Math.sin((2 * Math.PI * k * hz * i) / 8000 + k * k) / k
      period.push(sum)
    }
    return period.ask(period.stretch)
  }

  it('is that of the note, also 100 cents beside it', () => {
    expect(agreement(110)).toBeGreaterThan(0.8)
    expect(agreement(110 * 2 ** (100 / 1200))).toBeGreaterThan(0.8)
  })

  it('is not that of noise, nor of a tone a fourth away', () => {
    expect(agreement(null)).toBeLessThan(0.6)
    expect(agreement(110 * 2 ** (5 / 12))).toBeLessThan(0.6)
  })

  it('says nothing when nothing came up', () => {
    const period = new RisePeriod(8000, 110, 3000)
    for (let i = 0; i < 4000; i++) period.push(Math.sin(i / 10))
    expect(period.ask(period.stretch)).toBe(0)
  })
})
