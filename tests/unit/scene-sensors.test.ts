/** Sensors, measured by their impulse responses against the analogue formulas they stand for. */
import { describe, expect, it } from 'vitest'
import { fill } from '../../src/core/fields.ts'
import { randomStream } from '../../src/core/maths/random.ts'
import { peak, runBiquad, runBiquads } from '../../src/core/scene/sensors/biquad.ts'
import { sensorById, sensors } from '../../src/core/scene/sensors/index.ts'
import type { SoundPath } from '../../src/core/scene/sensors/sensor.ts'

const rateHz = 48000

interface Setting {
  readonly path?: SoundPath
  readonly stringHz?: number | null
  readonly values?: Record<string, number>
}

/** Gain in dB at `hz` for sound that comes by `path`. */
function response(id: string, { path = 'string', stringHz = null, values = {} }: Setting = {}): (hz: number) => number {
  const sensor = sensorById(id)
  // 2 s: the slowest mode, 65 Hz with Q 25, has a time constant of 0.12 s.
  const impulse = new Float64Array(2 * rateHz)
  const start = 100
  impulse[start] = 1
  sensor.apply(impulse, { sampleRateHz: rateHz, values: fill(sensor.fields, values), path, stringHz })
  return (hz) => {
    let re = 0
    let im = 0
    for (let n = 0; n < impulse.length; n++) {
      const angle = (2 * Math.PI * hz * (n - start)) / rateHz
      re += (impulse[n] as number) * Math.cos(angle)
      im -= (impulse[n] as number) * Math.sin(angle)
    }
    return 10 * Math.log10(re * re + im * im)
  }
}

describe('filters in a row', () => {
  it.each([0, 1, 2, 3])('%d of them, two at a time, are bit for bit the same as one by one', (count) => {
    const filters = [100, 200, 300].slice(0, count).map((hz) => peak(hz, 25, 15, rateHz))
    const given = new Float64Array(3 * rateHz)
    // Then silence, long enough for each filter to come to rest.
    randomStream(1, 'filters').fillGaussian(given.subarray(0, 1500))
    const wanted = given.slice()
    for (const filter of filters) runBiquad(wanted, filter)
    runBiquads(given, filters)
    expect(given).toEqual(wanted)
  })
})

describe('the magnetic pickup', () => {
  it('weights partial k by 2 |sin(pi k p)| and is deaf where p k is whole', () => {
    // With 110 Hz and p = 0.05 the notches lie at 2200, 4400 ... Hz.
    const flat = response('magnetic', { values: { pickupRatio: 0.05 } })
    const comb = response('magnetic', { stringHz: 110, values: { pickupRatio: 0.05 } })
    for (const k of [1, 2, 5, 7, 10, 13, 30, 50, 91]) {
      // 91 x 110 Hz is a fifth of the rate; the kernel is good to 0.001 of 2 |sin|, and |sin| is above 0.15 in these.
      const wanted = 20 * Math.log10(2 * Math.abs(Math.sin(Math.PI * k * 0.05)))
      expect(Math.abs(comb(110 * k) - flat(110 * k) - wanted)).toBeLessThan(0.03)
    }
    for (const k of [20, 40, 60]) expect(comb(110 * k) - flat(110 * k)).toBeLessThan(-50)
  })
  it('has the same notch for a delay between two samples, at other rates and pitches', () => {
    // 48000 * 0.06 / 329.63 = 8.74 samples; the notch lies at 329.63 / 0.06.
    const comb = response('magnetic', { stringHz: 329.63, values: { pickupRatio: 0.06 } })
    expect(comb(329.63 / 0.06)).toBeLessThan(-45)
  })
  it.each([
    [4000, 2],
    [2500, 1],
    [5500, 4],
  ])('resonates as the low-pass it is, at %d Hz with Q %d', (resonanceHz, resonanceQ) => {
    const at = response('magnetic', { values: { resonanceHz, resonanceQ } })
    // Gain Q at resonance, exactly: that is where the bilinear transform is pinned.
    expect(at(resonanceHz)).toBeCloseTo(20 * Math.log10(resonanceQ), 6)
    for (const share of [0.1, 0.5, 0.8]) {
      const w = share
      const wanted = -10 * Math.log10((1 - w * w) ** 2 + (w / resonanceQ) ** 2)
      // Below resonance the squeezed axis matters little: tan(pi f / rate) bends by (pi f / rate)^2 / 3 = 4 % at 5500 Hz.
      expect(Math.abs(at(share * resonanceHz) - wanted)).toBeLessThan(0.5)
    }
    expect(at(20)).toBeCloseTo(0, 2)
  })
  it('hears the air far down and dull, strings without a pitch of their own uncombed, and wires like the string', () => {
    const string = response('magnetic')
    const air = response('magnetic', { path: 'air' })
    // First-order fall from 160 Hz: -3.01 dB there, -20 dB a decade later (-16.0 + ... exact: 10 lg(1 + 100) = 20.04).
    expect(air(160) - string(160)).toBeCloseTo(-40 - 3.0103, 3)
    expect(Math.abs(air(1600) - string(1600) + 40 + 20.043)).toBeLessThan(0.05)
    expect(response('magnetic', { path: 'wire' })(4000)).toBeCloseTo(string(4000), 9)
  })
})

describe('the strip under the saddle', () => {
  it('lifts by half at the middle of its shelf and whole above', () => {
    const at = response('under-saddle', { values: { shelfHz: 400, shelfDb: 12 } })
    expect(at(400)).toBeCloseTo(6, 6)
    expect(Math.abs(at(20))).toBeLessThan(0.05)
    for (const hz of [100, 200, 800, 1600, 3200]) {
      const w = hz / 400
      const g = 10 ** (12 / 20)
      const wanted = 10 * Math.log10((1 + w * w * g) / (1 + (w * w) / g))
      expect(Math.abs(at(hz) - wanted)).toBeLessThan(0.05)
    }
    expect(Math.abs(at(20_000) - 12)).toBeLessThan(0.05)
  })
  it('hears the air through the top, and wires as they are', () => {
    const string = response('under-saddle')
    const air = response('under-saddle', { path: 'air' })
    // On a mode +15 dB; the other one, an octave and 25 bandwidths away, adds under 0.1 dB.
    expect(Math.abs(air(100) - string(100))).toBeLessThan(0.1)
    expect(Math.abs(air(1000) - string(1000) + 15)).toBeLessThan(0.05)
    expect(response('under-saddle', { path: 'wire' })(3000)).toBeCloseTo(0, 9)
  })
})

describe('the microphone', () => {
  it('hears strings as a small body radiates them: 12 dB an octave less below its modes', () => {
    const at = response('microphone')
    expect(Math.abs(at(20) - at(10) - 12.04)).toBeLessThan(0.1)
    expect(Math.abs(at(2000))).toBeLessThan(0.1)
    expect(at(100)).toBeGreaterThan(7)
    expect(at(200)).toBeGreaterThan(9)
  })
  it('hears the air flat, at the level that was set', () => {
    const air = response('microphone', { path: 'air', values: { airDb: -7 } })
    for (const hz of [20, 100, 1000, 15_000]) expect(air(hz)).toBeCloseTo(-7, 9)
    expect(response('microphone', { values: { radiation: 0 } })(50)).toBeCloseTo(0, 9)
  })
})

describe('the contact at the headstock', () => {
  it.each([65, 190, 420, 780, 1300, 2100])(
    'lets the mode of the neck at %d Hz stand out as a peak of 12 dB',
    (mode) => {
      const at = response('headstock')
      const low = response('headstock', { values: { neckDb: 0 } })
      const q = 25
      const g = 10 ** (12 / 20)
      const peaks = (hz: number): number =>
        [65, 190, 420, 780, 1300, 2100].reduce((sum, each) => {
          const w = hz / each
          return (
            sum + 10 * Math.log10(((1 - w * w) ** 2 + (w * g) ** 2 / q ** 2) / ((1 - w * w) ** 2 + w ** 2 / q ** 2))
          )
        }, 0)
      // On the mode and half a bandwidth off: 12 dB and 9.4 dB, a little more from the modes beside. The bilinear transform
      // narrows a peak at 2100 Hz by (2 pi f / rate)^2 / 6 = 1.3 % or so: 0.06 dB on its flank.
      for (const hz of [mode, mode * (Math.sqrt(1 + 1 / (4 * q * q)) + 1 / (2 * q))]) {
        expect(Math.abs(at(hz) - low(hz) - peaks(hz))).toBeLessThan(0.1)
      }
      expect(at(mode) - low(mode)).toBeGreaterThan(12)
    },
  )
  it('rolls off as a second-order low-pass', () => {
    const at = response('headstock', { values: { neckDb: 0 } })
    expect(at(2500)).toBeCloseTo(-3.0103, 4)
    for (const hz of [250, 1250, 5000]) {
      const w = hz / 2500
      expect(Math.abs(at(hz) + 10 * Math.log10(1 + w ** 4))).toBeLessThan(0.5)
    }
  })
  it('hears the air 25 dB down', () => {
    expect(response('headstock', { path: 'air' })(500) - response('headstock')(500)).toBeCloseTo(-25, 9)
  })
})

describe.each(sensors.map((sensor) => [sensor.id, sensor] as const))('sensor %s', (_, sensor) => {
  const corners = Object.entries(sensor.fields).reduce<Record<string, number>[]>(
    (all, [name, field]) =>
      all.flatMap((values) => [field.min, field.max].map((value) => ({ ...values, [name]: value }))),
    [{}],
  )
  it.each([8000, 44100, 192000])(
    'is finite, linear and alive at every limit of its fields, at %d Hz',
    (sampleRateHz) => {
      const noise = new Float64Array(sampleRateHz / 20)
      randomStream(3, 'sensor').fillGaussian(noise)
      for (const values of corners) {
        for (const path of ['string', 'air', 'body', 'wire'] as const) {
          const context = { sampleRateHz, values, path, stringHz: path === 'string' ? 30.9 : null }
          const once = noise.slice()
          sensor.apply(once, context)
          const doubled = noise.map((value) => 2 * value)
          sensor.apply(doubled, context)
          expect(once.every(Number.isFinite)).toBe(true)
          expect(once.some((value) => value !== 0)).toBe(true)
          // Doubling is exact in binary arithmetic.
          expect(doubled.every((value, i) => value === 2 * (once[i] as number))).toBe(true)
        }
      }
    },
  )
  it('adds to the noise side only what it says, at a level of its own', () => {
    const { own } = sensor
    if (own === undefined) return expect(['none', 'microphone', 'headstock']).toContain(sensor.id)
    const values = fill(sensor.fields, {})
    const target = new Float64Array(48000)
    own.fill(target, { sampleRateHz: 48000, values, random: randomStream(1, sensor.id) })
    expect(target.every(Number.isFinite)).toBe(true)
    expect(target.some((value) => value !== 0)).toBe(true)
    expect(own.levelDb(values)).toBeLessThan(0)
  })
})

describe('sensorById', () => {
  it('knows the sensors and lists them for an unknown one', () => {
    expect(sensorById('headstock').id).toBe('headstock')
    expect(() => sensorById('laser', 'room.sensor.id')).toThrow(
      'no sensor "laser"; known are none, magnetic, under-saddle, microphone, headstock',
    )
  })
})
