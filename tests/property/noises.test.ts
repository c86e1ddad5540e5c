/** What every noise of the list promises; a new one is tested by being listed. */
import fc from 'fast-check'
import { describe, expect, it } from 'vitest'
import { type Fields, fill, type Values } from '../../src/core/fields.ts'
import { RealFourier } from '../../src/core/maths/fourier.ts'
import { randomStream } from '../../src/core/maths/random.ts'
import { noises } from '../../src/core/scene/noises/index.ts'
import type { Noise } from '../../src/core/scene/noises/noise.ts'
import { parseScene } from '../../src/core/scene/parse.ts'
import { render } from '../../src/core/scene/render.ts'
import type { Recording } from '../../src/core/scene/scene.ts'

const seed = 77_001
const rates = [8000, 44100, 48000, 96000, 192000]

/** Something to loop: 0.7 s of white noise at another rate than any scene's. */
const recording: Recording = {
  id: 'hiss',
  sampleRateHz: 22050,
  samples: Float32Array.from({ length: 15_435 }, () => 0),
  onsetS: Number.NaN,
  f1Hz: Number.NaN,
}
randomStream(seed, 'hiss').fillGaussian(recording.samples)
const recordings = new Map([['hiss', recording]])

/** Every combination of the limits of the fields. */
function corners(fields: Fields): Values[] {
  return Object.entries(fields).reduce<Record<string, number>[]>(
    (all, [name, field]) =>
      all.flatMap((values) => [field.min, field.max].map((value) => ({ ...values, [name]: value }))),
    [{}],
  )
}

const anyValues = (fields: Fields): fc.Arbitrary<Record<string, number>> =>
  fc.record(
    Object.fromEntries(
      Object.entries(fields).map(([name, field]) => [
        name,
        field.whole
          ? fc.integer({ min: field.min, max: field.max })
          : fc.double({ min: field.min, max: field.max, noNaN: true }),
      ]),
    ),
  )

function filled(noise: Noise, name: string, sampleRateHz: number, length: number, values: Values): Float64Array {
  const target = new Float64Array(length)
  const random = randomStream(seed, name)
  const setting = { sampleRateHz, random, values, pluck: null, onsetS: 0, recording: noise.recorded ? recording : null }
  noise.fill(target, setting)
  return target
}

describe.each(noises.map((noise) => [noise.id, noise] as const))('noise %s', (id, noise) => {
  const named = noise.recorded ? { recording: 'hiss' } : {}

  it('is set exactly at any ratio, seed, rate and setting', () => {
    const cases = fc.record({
      snrDb: fc.double({ min: -60, max: 120, noNaN: true }),
      sceneSeed: fc.nat(4294967295),
      sampleRateHz: fc.constantFrom(...rates),
      onsetS: fc.double({ min: 0, max: 0.2, noNaN: true }),
      durationS: fc.double({ min: 0.4, max: 1.4, noNaN: true }),
      values: anyValues(noise.fields),
    })
    fc.assert(
      fc.property(cases, ({ snrDb, sceneSeed, sampleRateHz, onsetS, durationS, values }) => {
        const plucks = [{ onsetS, firstPartialHz: 220, decayS: 2 }]
        const given = { sampleRateHz, durationS, seed: sceneSeed, plucks, noises: [{ id, snrDb, ...values, ...named }] }
        const { take, clean, noise: side } = render(parseScene(given), recordings)
        const from = Math.round(onsetS * sampleRateHz)
        const to = Math.min(side.length, from + sampleRateHz)
        let string = 0
        let room = 0
        for (let i = from; i < to; i++) {
          string += (clean[i] as number) ** 2
          room += (side[i] as number) ** 2
        }
        expect(Math.abs(10 * Math.log10(string / room) - snrDb)).toBeLessThan(0.01)
        expect(
          take.samples.every((value, i) => value === Math.fround((clean[i] as number) + (side[i] as number))),
        ).toBe(true)
        expect(side.every(Number.isFinite)).toBe(true)
      }),
      { seed, numRuns: 12 },
    )
  })

  it('is the same for the same stream and another for another', () => {
    const values = fill(noise.fields, {})
    expect(filled(noise, 'a', 8000, 4000, values)).toEqual(filled(noise, 'a', 8000, 4000, values))
    expect(filled(noise, 'a', 8000, 4000, values)).not.toEqual(filled(noise, 'b', 8000, 4000, values))
  })

  it('has nothing to do with that of another stream', () => {
    // Two independent signals of the same spectrum P (bins of a full-length periodogram) correlate with variance
    // sum P^2 / (sum P)^2 at most: one over the number of independent samples; 1/2 for a single tone, whose phase is drawn.
    // The mean over 16 pairs is smaller by 4; four standard deviations of it are allowed.
    const pairs = 16
    const size = 32768
    const values = fill(noise.fields, {})
    const power = new Float64Array(size / 2 + 1)
    const fourier = new RealFourier(size)
    let mean = 0
    let variance = 0
    for (let pair = 0; pair < pairs; pair++) {
      const a = filled(noise, `a${pair}`, 8000, size, values)
      const b = filled(noise, `b${pair}`, 8000, size, values)
      let ab = 0
      let aa = 0
      let bb = 0
      for (let i = 0; i < size; i++) {
        ab += (a[i] as number) * (b[i] as number)
        aa += (a[i] as number) ** 2
        bb += (b[i] as number) ** 2
      }
      mean += ab / Math.sqrt(aa * bb) / pairs
      fourier.power(a, power)
      const sum = power.reduce((total, value) => total + value, 0)
      variance += power.reduce((total, value) => total + (value / sum) ** 2, 0) / pairs
    }
    expect(Math.abs(mean)).toBeLessThan((4 * Math.sqrt(variance)) / Math.sqrt(pairs))
  })

  it.each(rates)('is finite and not silent at every limit of its fields, at %d Hz', (sampleRateHz) => {
    for (const values of corners(noise.fields)) {
      const samples = filled(noise, 'limits', sampleRateHz, Math.round(0.3 * sampleRateHz), values)
      expect(samples.every(Number.isFinite)).toBe(true)
      expect(samples.some((value) => value !== 0)).toBe(true)
    }
  })

  it('fills a take of one sample and one of a minute', () => {
    const values = fill(noise.fields, {})
    expect(filled(noise, 'short', 8000, 1, values).every(Number.isFinite)).toBe(true)
    const long = filled(noise, 'long', 8000, 480_000, values)
    expect(long.every(Number.isFinite)).toBe(true)
    // It does not die away: the last quarter has at least a quarter of the first one's power (one talker may pause, hits may miss).
    const powerOf = (part: Float64Array): number => part.reduce((sum, value) => sum + value * value, 0)
    expect(powerOf(long.subarray(360_000)) / powerOf(long.subarray(0, 120_000))).toBeGreaterThan(0.25)
  })
})
