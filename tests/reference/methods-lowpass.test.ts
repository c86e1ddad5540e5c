/**
 * The low-pass in front of every blind method: what it is for, and that none was left without it.
 *
 * Law: of white noise to half the sample rate a low-pass at 1 kHz leaves a 24th (13.8 dB at 48 kHz); of a plucked guitar string, whose
 * power falls with its partials, most. Period followers weigh partials by k^2, so the fewer there are the less stiffness they hear
 * (tests/reference/methods-period.test.ts).
 */
import { describe, expect, it } from 'vitest'
import { methodById, methods } from '../../src/core/methods/index.ts'
import { listen } from '../../src/core/methods/listen.ts'
import { lowPass } from '../../src/core/methods/lowpass.ts'
import type { Reading } from '../../src/core/methods/method.ts'
import { parseScene } from '../../src/core/scene/parse.ts'
import { render } from '../../src/core/scene/render.ts'

const stream = { sampleRateHz: 48000, lowestHz: 30, highestHz: 1400, targetHz: null, room: null }
const blind = methods.filter(({ family }) => family === 'blind')

/** Open guitar strings and stiffness of the order measured on them (Jarvelainen & Karjalainen 2005: within 1e-6 to 1e-3). */
const guitar = [
  [82.407, 8e-5],
  [110, 5e-5],
  [146.832, 4e-5],
  [195.998, 9e-5],
  [246.942, 5e-5],
  [329.628, 4e-5],
] as const

const onsetS = 0.1
const takeOf = (firstPartialHz: number, stiffness: number, snrDb: number, seed: number): Float32Array => {
  const pluck = { onsetS, firstPartialHz, stiffness, decayS: 5, highDecayRatio: 0.4, pickRatio: 0.15 }
  const scene = parseScene({ durationS: 0.8, seed, plucks: [pluck], noises: [{ id: 'white', snrDb }] })
  return render(scene, new Map()).take.samples
}

const centsIn = (id: string, samples: Float32Array, hz: number, lowPassHz: number): number[] =>
  listen(methodById(id), samples, stream, { lowPassHz, hop: 1024 })
    .filter(({ fromSample }) => fromSample >= onsetS * 48000)
    .map(({ f0Hz }) => 1200 * Math.log2(f0Hz / hz))

/** Share of readings that decline or are 50 c off and more, three takes a string. */
function grossShare(id: string, snrDb: number, lowPassHz: number): number {
  const cents = guitar.flatMap(([hz, stiffness]) =>
    [1, 2, 3].flatMap((seed) => centsIn(id, takeOf(hz, stiffness, snrDb, seed), hz, lowPassHz)),
  )
  return cents.filter((value) => !(Math.abs(value) < 50)).length / cents.length
}

describe.each(['pitchy', 'yin'])('%s behind a low-pass of 1 kHz', (id) => {
  it('hears at 0 dB of white noise better than it did at 5', () => {
    // 13.8 dB less noise for at most 6 dB less string (half of its power and more lies in its first partials): 7 dB and more gained.
    const before = grossShare(id, 5, 0)
    expect(before).toBeGreaterThan(0.05)
    expect(grossShare(id, 0, 1000)).toBeLessThan(before)
  })

  it.each(guitar)(
    'reads %d Hz, B = %d, under 4 c sharp in quiet, and at most three quarters as much as before',
    (hz, b) => {
      const samples = takeOf(hz, b, 100, 1)
      const median = (values: readonly number[]): number => values.toSorted((x, y) => x - y)[values.length >> 1]
      const open = median(centsIn(id, samples, hz, 0))
      const closed = median(centsIn(id, samples, hz, 1000))
      // 24 dB an octave: partials from 1.4 kHz up count under a sixteenth. E4 keeps three of them, which made two thirds of its offset;
      // E2 keeps twelve.
      expect(closed).toBeGreaterThan(0)
      expect(closed).toBeLessThan(Math.min(4, 0.75 * open))
    },
  )
})

describe.each(blind.map(({ id }) => id))('%s', (id) => {
  it('has the setting, off unless the method is made of it', () => {
    expect(methodById(id).fields.lowPassHz?.default).toBe(id === 'zero-crossing' ? 200 : 0)
  })

  it('pays for the filter: settling in the evidence, delay in the instant spoken of', () => {
    const { settlingSamples, delaySamples } = lowPass(500, 48000)
    // One frame that is wholly inside a steady sound, so that what the method itself says of its evidence is the same with and without.
    const samples = Float32Array.from({ length: 8192 }, (_, i) => {
      let sum = 0
      for (let k = 1; k <= 3; k++) sum += Math.sin((2 * Math.PI * k * 220 * i) / 48000 + k) / k
      return 0.3 * sum
    })
    const last = (lowPassHz: number): Reading =>
      listen(methodById(id), samples, stream, { window: 2048, hop: 6144, lowPassHz })[1] as Reading
    const open = last(0)
    const closed = last(500)
    if (id === 'zero-crossing') {
      // Its evidence runs from crossing to crossing, and the filter moves those: by its delay, to within a crossing's own place.
      expect(Math.abs(closed.fromSample - (6144 - settlingSamples))).toBeLessThan(48000 / 220 + 2)
      return
    }
    expect(closed.fromSample).toBe(open.fromSample - settlingSamples)
    expect(closed.toSample).toBe(open.toSample)
    expect(closed.atSample).toBeCloseTo(open.atSample - delaySamples, 9)
  })
})
