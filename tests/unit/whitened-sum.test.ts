/**
 * The whitened sum: near enough within its range, not led away by one loud line, silent in noise.
 */
import { describe, expect, it } from 'vitest'
import { randomStream } from '../../src/core/maths/random.ts'
import { methodById } from '../../src/core/methods/index.ts'
import { listen } from '../../src/core/methods/listen.ts'
import type { Reading } from '../../src/core/methods/method.ts'
import { partialHz } from '../../src/core/methods/stringlaw.ts'

const cents = (hz: number, referenceHz: number): number => 1200 * Math.log2(hz / referenceHz)
const sampleRateHz = 48000

function readings(samples: Float32Array, targetHz: number, hop = 16384): Reading[] {
  const stream = { sampleRateHz, lowestHz: 30, highestHz: 1400, targetHz, room: null }
  return listen(methodById('whitened-sum'), samples, stream, { hop })
}

function string(f1Hz: number, stiffness: number): Float32Array {
  return Float32Array.from({ length: 20000 }, (_, t) => {
    let sum = 0
    for (let k = 1; k <= 12; k++) {
      sum += (0.2 / k) * Math.sin((2 * Math.PI * partialHz({ f1Hz, stiffness }, k) * t) / sampleRateHz)
    }
    return sum
  })
}

describe('whitened sum', () => {
  it('is within 7 c of any string up to 140 c from the target', () => {
    for (const f1Hz of [82.407, 146.832, 329.628]) {
      for (const off of [-140, -50, 0, 50, 140]) {
        for (const stiffness of [0, 6e-5, 2e-4]) {
          const [{ f0Hz }] = readings(string(f1Hz, stiffness), f1Hz * 2 ** (-off / 1200)) as [Reading]
          // B comes from a grid, at most 7.5e-5 off: partial 10 is then 866 * 7.5e-5 * 99 = 6.4 c from where it is sought,
          // and a sum that counts partials alike puts itself in between.
          expect(Math.abs(cents(f0Hz, f1Hz)), `${f1Hz} Hz, ${off} c, B ${stiffness}`).toBeLessThan(7)
        }
      }
    }
  })

  it('a line 40 dB over the string does not win', () => {
    const quiet = string(110, 6e-5)
    // Where partial 1 of a string 60 c lower and partial 3 of one 100 c higher would be.
    for (const hz of [110 * 2 ** (-60 / 1200), 330 * 2 ** (100 / 1200)]) {
      const noisy = quiet.map((value, t) => value + 20 * Math.sin((2 * Math.PI * hz * t) / sampleRateHz))
      const [{ f0Hz }] = readings(noisy, 110) as [Reading]
      expect(Math.abs(cents(f0Hz, 110))).toBeLessThan(7)
    }
  })

  it('white noise, 10 dB over the string: every one of 60 found within 50 c', () => {
    for (const f1Hz of [82.407, 146.832, 329.628]) {
      const quiet = string(f1Hz, 6e-5)
      const level = Math.sqrt((10 * quiet.reduce((sum, value) => sum + value * value, 0)) / quiet.length)
      const random = randomStream(80, f1Hz)
      for (let run = 0; run < 20; run++) {
        const [{ f0Hz }] = readings(
          quiet.map((value) => value + level * random.gaussian()),
          f1Hz * 2 ** (25 / 1200),
        ) as [Reading]
        expect(Math.abs(cents(f0Hz, f1Hz))).toBeLessThan(50)
      }
    }
  })

  it('follows a glide by its newest part, and says so; a string that stands still is read from the whole window', () => {
    const f1Hz = 196
    const glideS = 0.15
    const from = 16384 - 4096
    const samples = (glideCents: number): Float64Array => {
      let turns = 0
      return Float64Array.from({ length: 16384 }, (_, t) => {
        turns += (f1Hz * 2 ** ((glideCents * Math.exp(-t / sampleRateHz / glideS)) / 1200)) / sampleRateHz
        let sum = 0
        for (let k = 1; k <= 10; k++) sum += (0.2 / k) * Math.sin(2 * Math.PI * k * turns)
        return sum
      })
    }
    const [still] = readings(Float32Array.from(samples(0)), f1Hz) as [Reading]
    const [glide] = readings(Float32Array.from(samples(10)), f1Hz) as [Reading]
    expect(still.toSample - still.fromSample).toBeGreaterThan(16000)
    expect(glide.fromSample).toBeGreaterThan(from - 100)
    // Between what the pitch is at the end of that part and at its start: 1.03 and 1.82 c. The whole window's mean is 3.6 c.
    const cented = cents(glide.f0Hz, f1Hz)
    expect(cented).toBeGreaterThan(10 * Math.exp(-16384 / sampleRateHz / glideS) - 0.1)
    expect(cented).toBeLessThan(10 * Math.exp(-from / sampleRateHz / glideS) + 0.1)
  })

  it('declines noise: at most 1 % of frames answer', () => {
    const random = randomStream(81)
    const noise = Float32Array.from({ length: 60 * sampleRateHz }, () => 0.1 * random.gaussian())
    let answered = 0
    let frames = 0
    for (const targetHz of [82.407, 146.832, 329.628, 659.255]) {
      for (const { f0Hz } of readings(noise, targetHz)) {
        frames++
        if (!Number.isNaN(f0Hz)) answered++
      }
    }
    // A true 1 % of 700 frames would show 7 +- 2.6; two deviations above it.
    expect(frames).toBeGreaterThan(690)
    expect(answered / frames).toBeLessThan(0.01 + 0.0075)
  })
})
