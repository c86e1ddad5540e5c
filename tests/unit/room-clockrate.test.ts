/** The clock-rate check: parts in a million out of tones that were slowed by a known amount, and intervals that hold them. */
import { describe, expect, it } from 'vitest'
import { randomStream } from '../../src/core/maths/random.ts'
import { resample } from '../../src/core/maths/resample.ts'
import { type ClockFigures, clockRate } from '../../src/core/room/clockrate.ts'
import { type ToneWish, toneInRoom } from './inputtones.ts'

const rateHz = 8000

/** What a converter hears whose clock is fast by `ppm`. */
function told(ppm: number, wish: ToneWish, knownPpm = 0): ClockFigures {
  const hz = wish.hz ?? 440
  const figures = clockRate(toneInRoom({ ...wish, hz: hz / (1 + ppm / 1e6) }), rateHz, hz, knownPpm)
  if (figures === null) throw new Error('no tone was found')
  return figures
}

describe('the clock-rate check', () => {
  it('reads 50 ppm as 0.09 c', () => {
    const { ppm, readsCents, lowCents, highCents, standing } = told(50, { seed: 1, hz: 1000, noiseRms: 0.003 })
    expect(Math.abs(ppm - 50)).toBeLessThan(0.5)
    // 1200 log2(1.00005) = 0.0866.
    expect(Math.abs(readsCents - -0.0866)).toBeLessThan(0.001)
    expect(lowCents).toBeLessThan(readsCents)
    expect(highCents).toBeGreaterThan(readsCents)
    expect(standing).toBe('told')
  })

  it('finds the rate by which a recording was resampled', () => {
    // 8000 samples a second counted out as 8001: what a clock 125 ppm fast hears.
    const samples = resample(toneInRoom({ seed: 2, hz: 660 }), 8000, 8001)
    const figures = clockRate(samples, 8000, 660, 0)
    expect(figures?.lowPpm).toBeLessThan(125)
    expect(figures?.highPpm).toBeGreaterThan(125)
    expect(figures?.ownPpm).toBeLessThan(2)
  })

  it('holds the true rate in 95 % of its intervals, and is no wider than twice the bound', () => {
    let inside = 0
    let reach = 0
    const tones = 100
    const noiseRms = 0.05
    for (let n = 0; n < tones; n++) {
      const random = randomStream(551, 'clock', n)
      const ppm = 400 * (random.uniform() - 0.5)
      const figures = told(ppm, {
        seed: 100 + n,
        noiseRms,
        durationS: 12,
        beginsS: 0,
        hz: 300 + 1000 * random.uniform(),
      })
      if (figures.lowPpm <= ppm && ppm <= figures.highPpm) inside++
      reach += (figures.ownPpm * figures.readHz) / 1e6 / 1.96 / tones
    }
    // 100 intervals of 95 %: 95 expected, 2.2 of standard deviation; four of it below, since widening only adds.
    expect(inside).toBeGreaterThanOrEqual(87)
    // Of a real sine: sqrt(24 s^2 / (A^2 rate T^3)) / (2 pi) Hz, s^2 the noise's power (Kay 1993, Estimation Theory, 3.41, from
    // memory; twice the variance of Rife & Boorstyn's complex one), over the 11.5 s that are used.
    const boundHz = Math.sqrt((24 * noiseRms ** 2) / (0.1 ** 2 * rateHz * 11.5 ** 3)) / (2 * Math.PI)
    expect(reach).toBeGreaterThan(boundHz)
    expect(reach).toBeLessThan(2 * boundHz)
  })

  it('adds what the source is stated to be good to', () => {
    const [bare, stated] = [told(30, { seed: 3 }), told(30, { seed: 3 }, 20)]
    expect(stated.highPpm - stated.lowPpm).toBeCloseTo(bare.highPpm - bare.lowPpm + 40, 9)
    expect(stated.ppm).toBe(bare.ppm)
  })

  it('widens for a source that moves, and says so', () => {
    // A microphone carried to and fro: a swing of 0.3 cycles in 9 s.
    const wanderCycles = (atS: number) => 0.3 * Math.sin((2 * Math.PI * atS) / 9)
    const [still, moving] = [told(30, { seed: 4 }), told(30, { seed: 4, wanderCycles })]
    expect(moving.standing).toBe('moved')
    expect(moving.ownPpm).toBeGreaterThan(10 * still.ownPpm)
    expect(moving.lowPpm).toBeLessThan(30)
    expect(moving.highPpm).toBeGreaterThan(30)
  })

  it('says that no clock is off by two in a thousand, and finds nothing half a tone away', () => {
    expect(told(2000, { seed: 5 }).standing).toBe('beyond')
    expect(clockRate(toneInRoom({ seed: 6, hz: 466 }), rateHz, 440, 0)).toBeNull()
    expect(clockRate(toneInRoom({ seed: 6, hz: 440, endsS: 5 }), rateHz, 440, 0)).toBeNull()
  })

  it('refuses figures outside its limits', () => {
    const samples = toneInRoom({ seed: 7 })
    expect(() => clockRate(samples, rateHz, 100, 0)).toThrow('100 is not between 150 and 3200 Hz')
    expect(() => clockRate(samples, rateHz, 440, 2000)).toThrow('2000 is not between 0 and 1000 ppm')
  })
})
