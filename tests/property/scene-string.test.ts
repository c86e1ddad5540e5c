/**
 * Promises of the string side: finite at every limit of every setting, the same for the same seed in any room, and a truth
 * that is what a long look at the samples finds.
 */
import fc from 'fast-check'
import { describe, expect, it } from 'vitest'
import type { Field, Fields } from '../../src/core/fields.ts'
import { RealFourier } from '../../src/core/maths/fourier.ts'
import { bodyFields, bodyIds } from '../../src/core/scene/body.ts'
import { kindIds } from '../../src/core/scene/kinds.ts'
import { neighbourFields, neighbourStringFields } from '../../src/core/scene/neighbours.ts'
import { parseScene } from '../../src/core/scene/parse.ts'
import { render, renderString } from '../../src/core/scene/render.ts'
import { pluckFields } from '../../src/core/scene/scene.ts'
import { sensors } from '../../src/core/scene/sensors/index.ts'

const seed = 77_003
const none = new Map()

/** Each setting at one of its limits. An endless one is said by leaving it out. */
const limits = (fields: Fields): fc.Arbitrary<Record<string, number>> =>
  fc.record(
    Object.fromEntries(
      Object.entries(fields).map(([name, field]) => [name, fc.constantFrom<number | undefined>(...ends(field))]),
    ),
  ) as fc.Arbitrary<Record<string, number>>
const ends = ({ min, max, default: usual }: Field): (number | undefined)[] => [
  min,
  Number.isFinite(max) ? max : undefined,
  Number.isFinite(usual) ? usual : undefined,
]

// Onset and pitch are set apart: a take has its length, and 8 kHz cannot carry a string of 5 kHz.
const { onsetS: _onset, firstPartialHz: _pitch, ...pluckSettings } = pluckFields
const { firstPartialHz: _neighbour, ...neighbourSettings } = neighbourStringFields

describe('the string side', () => {
  it('is finite at every limit of every setting', () => {
    const cases = fc.record({
      rateAndPitch: fc.constantFrom([8000, 15], [8000, 3400], [48000, 15], [48000, 110], [48000, 5000], [192000, 5000]),
      pluck: limits(pluckSettings),
      body: fc.option(fc.record({ id: fc.constantFrom(...bodyIds), values: limits(bodyFields) }), { nil: undefined }),
      neighbours: limits(neighbourFields),
      string: limits(neighbourSettings),
      sensor: fc.constantFrom(...sensors.map(({ id }) => id)),
      stringSeed: fc.nat(4294967295),
    })
    fc.assert(
      fc.property(cases, ({ rateAndPitch, pluck, body, neighbours, string, sensor, stringSeed }) => {
        const [sampleRateHz = 8000, firstPartialHz = 15] = rateAndPitch
        const strings = [15, 440, 5000].map((hz) => ({ ...string, firstPartialHz: hz }))
        const scene = parseScene({
          ...{ sampleRateHz, durationS: 0.6, stringSeed },
          plucks: [{ ...pluck, firstPartialHz, onsetS: 0.05 }],
          noises: [{ id: 'white', snrDb: 10 }],
          ...(body === undefined ? {} : { body: { id: body.id, ...body.values } }),
          neighbours: { ...neighbours, strings },
          sensor: { id: sensor },
        })
        const { clean, noise, partials, take } = render(scene, none)
        expect(clean.every(Number.isFinite) && noise.every(Number.isFinite)).toBe(true)
        expect(clean.some((value) => value !== 0)).toBe(true)
        expect(take.truth?.settledHz).toBeGreaterThan(0)
        expect(take.truth?.track.every(({ f0Hz }) => Number.isFinite(f0Hz))).toBe(true)
        for (const partial of partials) {
          const { polarisation: _, ...numbers } = partial
          expect(Object.values(numbers).every(Number.isFinite)).toBe(true)
        }
      }),
      { seed, numRuns: 60 },
    )
  })

  it('is the same in every room and at every ratio, given its seed', () => {
    const cases = fc.record({ kind: fc.constantFrom(...kindIds), stringSeed: fc.nat(4294967295), rooms: fc.nat(1000) })
    fc.assert(
      fc.property(cases, ({ kind, stringSeed, rooms }) => {
        const sideOf = (sceneSeed: number, snrDb: number, strings: number): Float32Array => {
          const plucks = [{ kind, onsetS: 0.1, firstPartialHz: 110, stiffness: 5e-5 }]
          const neighbours = { kind, strings: [{ firstPartialHz: 146.8 }, { firstPartialHz: 82.4 }] }
          const noises = [{ id: 'white', snrDb }]
          const seeds = { seed: sceneSeed, stringSeed: stringSeed + strings }
          return render(parseScene({ durationS: 0.5, ...seeds, plucks, neighbours, noises, body: 'solid' }), none).clean
        }
        const side = sideOf(1, 10, 0)
        expect(Buffer.from(sideOf(rooms + 2, -5, 0).buffer).equals(Buffer.from(side.buffer))).toBe(true)
        expect(Buffer.from(sideOf(1, 10, 1).buffer).equals(Buffer.from(side.buffer))).toBe(false)
      }),
      { seed, numRuns: 5 },
    )
  })
})

/** Frequency near `hz`, from the phases of two Hann windows half a length apart. */
function measuredHz(samples: Float32Array, sampleRateHz: number, hz: number, from: number, length: number): number {
  const step = length / 2
  const phaseAt = (start: number): number => {
    let re = 0
    let im = 0
    for (let i = 0; i < length; i++) {
      const weight = 1 - Math.cos((2 * Math.PI * i) / length)
      const angle = (2 * Math.PI * hz * (start + i)) / sampleRateHz
      re += weight * (samples[start + i] as number) * Math.cos(angle)
      im -= weight * (samples[start + i] as number) * Math.sin(angle)
    }
    return Math.atan2(im, re)
  }
  const turn = phaseAt(from + step) - phaseAt(from)
  return hz + ((turn - 2 * Math.PI * Math.round(turn / (2 * Math.PI))) / (2 * Math.PI)) * (sampleRateHz / step)
}

/** The truth as a person with the samples would find it, knowing f1 and B of the law: powers of the first second by Parseval. */
function measuredTruthHz(samples: Float32Array, sampleRateHz: number, onsetS: number, f1Hz: number, b: number): number {
  const onset = Math.round(onsetS * sampleRateHz)
  let size = 1024
  while (size < sampleRateHz) size *= 2
  const padded = new Float64Array(size)
  padded.set(samples.subarray(onset, onset + sampleRateHz))
  const power = new Float64Array(size / 2 + 1)
  new RealFourier(size).power(padded, power)
  const length = 2 * Math.round(0.6 * sampleRateHz)
  let all = 0
  let moment = 0
  for (let k = 1; k <= 6; k++) {
    const lawHz = k * f1Hz * Math.sqrt((1 + b * k * k) / (1 + b))
    // A step of 0.1 s tells frequencies apart over 10 Hz, one of 0.6 s tells them exactly.
    const from = onset + Math.round(0.6 * sampleRateHz)
    const rough = measuredHz(samples, sampleRateHz, lawHz, from, 2 * Math.round(0.1 * sampleRateHz))
    const hz = measuredHz(samples, sampleRateHz, rough, from, length)
    let own = 0
    const half = (f1Hz / 2 / sampleRateHz) * size
    const centre = (hz / sampleRateHz) * size
    for (let bin = Math.ceil(centre - half); bin < centre + half; bin++) own += power[bin] as number
    all += own
    moment += own * 1200 * Math.log2(hz / lawHz)
  }
  return f1Hz * 2 ** (moment / all / 1200)
}

describe('the truth', () => {
  const cases = fc.record({
    kind: fc.constantFrom(...kindIds),
    firstPartialHz: fc.double({ min: 60, max: 400, noNaN: true }),
    stiffness: fc.double({ min: 0, max: 3e-4, noNaN: true }),
    fret: fc.constantFrom(0, 0, 7),
    glideCents: fc.constantFrom(-9, 0, 12),
    body: fc.constantFrom('acoustic', 'solid', undefined),
    sensor: fc.constantFrom('none', 'magnetic', 'under-saddle', 'microphone', 'headstock'),
    stringSeed: fc.nat(4294967295),
  })

  it('is what a long look at the string side finds, within 0.02 c', () => {
    fc.assert(
      fc.property(cases, ({ body, sensor, stringSeed, ...given }) => {
        const scene = parseScene({
          ...{ sampleRateHz: 16000, durationS: 2.6, stringSeed },
          // The glide is over (3e-7 of it) when frequencies are measured; decays leave all six something to measure.
          plucks: [{ ...given, onsetS: 0.1, decayS: 5, glideS: 0.04, polMix: 0, attackMs: 0 }],
          // A light string: one that a mode damps within tenths of a second has no power that a spectrum tells from its neighbours'.
          ...(body === undefined ? {} : { body: { id: body, impedanceKgPerS: 0.1 } }),
          ...(sensor === 'none' ? {} : { sensor: { id: sensor } }),
        })
        const { samples, truth } = renderString(scene, none)
        const b = given.stiffness * 2 ** (given.fret / 6)
        const heardHz = measuredTruthHz(samples, 16000, 0.1, given.firstPartialHz, b)
        expect(Math.abs(1200 * Math.log2(heardHz / (truth?.settledHz ?? Number.NaN)))).toBeLessThan(0.02)
      }),
      { seed, numRuns: 20 },
    )
  })
})
