/** The frame-by-frame listener, by hand: when readings come, what they are stamped with, what a broken sample does. */
import { describe, expect, it } from 'vitest'
import { type Analyse, type Framing, framewise } from '../../src/core/methods/framewise.ts'
import { lowPass } from '../../src/core/methods/lowpass.ts'
import type { Reading, Stream } from '../../src/core/methods/method.ts'
import { Problem } from '../../src/core/problem.ts'

const stream: Stream = { sampleRateHz: 48000, lowestHz: 30, highestHz: 1400, targetHz: null, room: null }

/** Answers the frame's first and last sample, so that a reading shows which frame it was made from. */
const ends: Analyse = (frame, estimate) => {
  estimate.f0Hz = 1 + frame[0]
  estimate.confidence = frame[frame.length - 1]
}

function heard(framing: Framing, samples: ArrayLike<number>, analyse = ends, block = samples.length): Reading[] {
  const readings: Reading[] = []
  const listener = framewise(stream, framing, analyse)
  const all = Float32Array.from(samples)
  for (let i = 0; i < all.length; i += block) {
    listener.push(all.subarray(i, i + block), (reading) => readings.push({ ...reading }))
  }
  return readings
}

const ramp = (n: number): number[] => Array.from({ length: n }, (_, i) => i)

describe('framewise', () => {
  it('answers once the window is full and then every hop', () => {
    const readings = heard({ window: 8, hop: 3 }, ramp(15))
    expect(readings.map(({ fromSample, toSample, atSample }) => [fromSample, toSample, atSample])).toEqual([
      [0, 8, 4],
      [3, 11, 7],
      [6, 14, 10],
    ])
    expect(readings.map(({ f0Hz, confidence }) => [f0Hz - 1, confidence])).toEqual([
      [0, 7],
      [3, 10],
      [6, 13],
    ])
  })

  it('leaves samples out between frames when the hop is longer than the window', () => {
    const readings = heard({ window: 4, hop: 7 }, ramp(18))
    expect(readings.map(({ f0Hz, confidence, toSample }) => [f0Hz - 1, confidence, toSample])).toEqual([
      [0, 3, 4],
      [7, 10, 11],
      [14, 17, 18],
    ])
  })

  it('says the same in blocks of one sample', () => {
    for (const hop of [1, 3, 8, 11]) {
      expect(heard({ window: 8, hop }, ramp(50), ends, 1)).toEqual(heard({ window: 8, hop }, ramp(50)))
    }
  })

  it('declines exactly the frames that hold a sample which is no number', () => {
    for (const broken of [Number.NaN, Number.POSITIVE_INFINITY, Number.NEGATIVE_INFINITY]) {
      const samples = ramp(24)
      samples[9] = broken
      const readings = heard({ window: 4, hop: 2 }, samples)
      const declined = readings.filter(({ f0Hz }) => Number.isNaN(f0Hz))
      expect(declined.map(({ fromSample, confidence }) => [fromSample, confidence])).toEqual([
        [6, 0],
        [8, 0],
      ])
      expect(readings).toHaveLength(11)
    }
  })

  it('turns an answer that is no frequency into a declined one', () => {
    for (const f0Hz of [0, -1, Number.POSITIVE_INFINITY, Number.NaN]) {
      const readings = heard({ window: 4, hop: 4 }, ramp(4), (_, estimate) => {
        estimate.f0Hz = f0Hz
        estimate.confidence = 0.7
        estimate.fromOffset = 2
      })
      expect(readings).toEqual([
        {
          fromSample: 0,
          toSample: 4,
          atSample: 2,
          f0Hz: Number.NaN,
          confidence: 0,
          spreadCents: Number.NaN,
        },
      ])
    }
  })

  it('does not carry an answer over to the next frame', () => {
    let frames = 0
    const readings = heard({ window: 4, hop: 4 }, ramp(8), (_, estimate) => {
      if (frames++ === 0) {
        estimate.f0Hz = 100
        estimate.confidence = 1
        estimate.spreadCents = 2
        estimate.atOffset = 0
      }
    })
    expect(readings[1]).toMatchObject({ f0Hz: Number.NaN, confidence: 0, spreadCents: Number.NaN, atSample: 6 })
  })

  it('refuses a range that makes no sense', () => {
    const wrong: [Partial<Stream>, string][] = [
      [{ lowestHz: 0 }, 'lowestHz'],
      [{ highestHz: 30 }, 'highestHz'],
      [{ highestHz: 24001 }, 'highestHz'],
      [{ sampleRateHz: Number.NaN }, 'sampleRateHz'],
    ]
    for (const [change, where] of wrong) {
      try {
        framewise({ ...stream, ...change }, { window: 8, hop: 8 }, ends)
        expect.unreachable(where)
      } catch (error) {
        expect(error).toBeInstanceOf(Problem)
        expect((error as Problem).where).toBe(where)
      }
    }
  })
})

describe('the low-pass in front', () => {
  const gainDb = (cornerHz: number, atHz: number): number => {
    const filter = lowPass(cornerHz, 48000)
    let re = 0
    let im = 0
    for (let i = 0; i < 20000; i++) {
      const response = filter.next(i === 0 ? 1 : 0)
      re += response * Math.cos((2 * Math.PI * atHz * i) / 48000)
      im -= response * Math.sin((2 * Math.PI * atHz * i) / 48000)
    }
    return 10 * Math.log10(re * re + im * im)
  }

  it('has the Butterworth gain 1 / (1 + (tan(pi f / rate) / tan(pi corner / rate))^8)', () => {
    for (const hz of [0, 100, 500, 1000, 2000, 8000]) {
      const ratio = Math.tan((Math.PI * hz) / 48000) / Math.tan((Math.PI * 1000) / 48000)
      // 1e-9 dB: the impulse response is summed to its end, only rounding remains.
      expect(gainDb(1000, hz)).toBeCloseTo(-10 * Math.log10(1 + ratio ** 8), 8)
    }
  })

  it('settles and delays as it says', () => {
    for (const cornerHz of [60, 1000, 8000]) {
      const filter = lowPass(cornerHz, 48000)
      const response = Array.from({ length: 20000 }, (_, i) => filter.next(i === 0 ? 1 : 0))
      const peak = Math.max(...response.map(Math.abs))
      const lastLoud = response.findLastIndex((value) => Math.abs(value) > peak / 1000)
      // Under the stated length, and not by more than half: the evidence is not overcharged.
      expect(lastLoud).toBeLessThan(filter.settlingSamples)
      expect(lastLoud).toBeGreaterThan(filter.settlingSamples / 2)
      // Group delay at 0 Hz is the centre of gravity of the impulse response, whose sum is 1.
      const centre = response.reduce((sum, value, i) => sum + i * value, 0)
      expect(filter.delaySamples).toBeCloseTo(centre, 6)
    }
  })

  it('is charged to the evidence and to the instant spoken of', () => {
    const filter = lowPass(1000, 48000)
    const readings = heard({ window: 400, hop: 400, lowPassHz: 1000 }, ramp(800))
    expect(readings[0].fromSample).toBe(0)
    expect(readings[1].fromSample).toBe(400 - filter.settlingSamples)
    expect(readings[1].toSample).toBe(800)
    expect(readings[1].atSample).toBeCloseTo(600 - filter.delaySamples, 12)
  })

  it('does not keep a broken sample, but declines while it still rings', () => {
    const samples = ramp(2000).map(() => 1)
    samples[100] = Number.NaN
    const readings = heard({ window: 100, hop: 100, lowPassHz: 1000 }, samples)
    const declined = readings.map(({ f0Hz }) => Number.isNaN(f0Hz))
    // 160 samples settle: frames [100, 200) and [200, 300) still hear the hole, [300, 400) does not.
    expect(lowPass(1000, 48000).settlingSamples).toBeGreaterThan(100)
    expect(lowPass(1000, 48000).settlingSamples).toBeLessThan(200)
    expect(declined.slice(0, 4)).toEqual([false, true, true, false])
    expect(declined.slice(3)).not.toContain(true)
  })

  it('refuses a corner the rate cannot hold', () => {
    expect(() => framewise(stream, { window: 8, hop: 8, lowPassHz: 21600 }, ends)).toThrow(/0.45 of the sample rate/)
  })
})
