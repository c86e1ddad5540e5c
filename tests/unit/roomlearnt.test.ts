/** The room as it is learnt: with the sensor's own noise in it, and with the neighbours of the very string in hand. */
import { describe, expect, it } from 'vitest'
import { type Spectrum, welch } from '../../src/core/maths/spectrum.ts'
import { dbFromPowerRatio } from '../../src/core/maths/units.ts'
import { parseScene } from '../../src/core/scene/parse.ts'
import { heardSpectrum, ownSpectrum, render, roomSpectrum } from '../../src/core/scene/render.ts'
import { parseStudy } from '../../src/core/study/parse.ts'
import { roomById, stringById } from '../../src/core/study/presets.ts'
import { ratioIn, surroundingsOf } from '../../src/core/study/roomscene.ts'
import { openStudy } from '../../src/core/study/trial.ts'

const none = new Map()
const sampleRateHz = 48000
const powerOf = (spectrum: Spectrum): number => spectrum.density.reduce((sum, value) => sum + value * spectrum.binHz, 0)

/** Within 12 Hz of `hz`: the window's main lobe of a tone at 48 kHz and 8192 samples. */
const powerAt = ({ binHz, density }: Spectrum, hz: number): number =>
  density.reduce((sum, value, bin) => (Math.abs(bin * binHz - hz) <= 12 ? sum + value * binHz : sum), 0)

describe('the learnt room behind a sensor with noise of its own', () => {
  const white = [{ id: 'white', values: {}, levelDb: 0 }]
  const sensor = { id: 'magnetic', values: { humDb: -10 } }
  const own = ownSpectrum(sensor, sampleRateHz, 1)
  const room = roomSpectrum(white, sampleRateHz, 1, none, 110, { stringSeed: 1, sensor })

  it('keeps the ratio, the sensor within it', () => {
    // String 0.01, 10 dB: 0.001.
    expect(powerOf(heardSpectrum(room, own, 0.01, 10)) / 0.001).toBeCloseTo(1, 9)
    expect(powerOf(heardSpectrum(room, null, 0.01, 10)) / 0.001).toBeCloseTo(1, 9)
  })

  it('holds as much of the sensor as stands at its level re the string', () => {
    // At 10 dB room and sensor are 0.1 of the string each: half and half of the 0.1 that the ratio leaves them.
    const heard = heardSpectrum(room, own, 1, 10)
    expect(own?.overString).toBeCloseTo(0.1, 12)
    const at50Hz = 0.05 * powerAt(room, 50) + 0.05 * powerAt(own?.shape ?? room, 50)
    expect(powerAt(heard, 50) / at50Hz).toBeCloseTo(1, 9)
  })

  it('is the spectrum of what a take holds', () => {
    const scene = parseScene({
      ...{ sampleRateHz, durationS: 5.2, seed: 9, sensor: { id: sensor.id, ...sensor.values } },
      plucks: [{ onsetS: 0.1, firstPartialHz: 110, decayS: 3 }],
      noises: [{ id: 'white', snrDb: 10 }],
    })
    const { clean, noise } = render(scene, none)
    const second = clean.subarray(0.1 * sampleRateHz, 1.1 * sampleRateHz)
    const stringPower = second.reduce((sum, value) => sum + value * value, 0) / sampleRateHz
    const heard = heardSpectrum(room, own, stringPower, 10)
    // The hum swells a little from second to second: 1 dB, and the hum left out would be more than that.
    const difference = dbFromPowerRatio(powerAt(welch(noise, sampleRateHz), 50) / powerAt(heard, 50))
    expect(Math.abs(difference)).toBeLessThan(1)
    const without = heardSpectrum(room, null, stringPower, 10)
    expect(dbFromPowerRatio(powerAt(heard, 50) / powerAt(without, 50))).toBeGreaterThan(1)
  })
})

describe('the learnt room of a trial', () => {
  const study = parseStudy({
    ...{ strings: ['A2'], rooms: ['front-acoustic'], snrsDb: [0], repeats: 2, takeS: 1.2, seed: 3 },
    methods: ['yin'],
  })
  const open = openStudy(study, none)

  it.each([0, 1])('rings with the neighbours of its own take: repeat %i', (repeat) => {
    const { scene, room, rendered } = open.replay(repeat)
    const [string, place] = [stringById('A2'), roomById('front-acoustic')]
    const surroundings = surroundingsOf(string, place)
    const of = (stringSeed: number): Spectrum =>
      roomSpectrum(place.parts, sampleRateHz, study.seed, none, string.targetHz, { stringSeed, ...surroundings })
    const second = rendered.clean.subarray(0.5 * sampleRateHz)
    const stringPower = second.reduce((sum, value) => sum + value * value, 0) / second.length
    const own = ownSpectrum(surroundings.sensor, sampleRateHz, study.seed)
    const heard = (stringSeed: number): Spectrum => heardSpectrum(of(stringSeed), own, stringPower, ratioIn(place, 0))
    expect(surroundings.neighbours?.drivenDb).toBeGreaterThan(-120)
    const wanted = heard(scene.stringSeed ?? Number.NaN)
    const furthest = Math.max(...room.density.map((value, bin) => Math.abs(value / (wanted.density[bin] || 1) - 1)))
    // Two sums of the same squares in another order.
    expect(furthest).toBeLessThan(1e-9)
    expect(heard(study.seed).density).not.toEqual(wanted.density)
  })

  it('is of as many stretches as the study says, which pairs of repeats take by turns', () => {
    const two = { ...study, rooms: [roomById('stage')], repeats: 6, learntStretches: 2 }
    /** Shapes: levels are those of each repeat's own string. */
    const shapes = Array.from({ length: 6 }, (_, repeat) => {
      const { density } = openStudy(two, none).replay(repeat).room
      const total = density.reduce((sum, value) => sum + value, 0)
      return density.map((value) => value / total)
    })
    const apart = (a: number, b: number): number =>
      shapes[a].reduce((sum, value, bin) => sum + Math.abs(value - shapes[b][bin]), 0)
    for (const [a, b] of [
      [0, 1],
      [2, 3],
      [0, 4],
    ] as const)
      expect(apart(a, b)).toBeLessThan(1e-9)
    // Two stretches of kicks and bass notes: far beyond rounding.
    expect(apart(0, 2)).toBeGreaterThan(1e-3)
    const one = openStudy({ ...two, learntStretches: 1 }, none).replay(0).room
    expect(openStudy(two, none).replay(0).room).toEqual(one)
  })
})
