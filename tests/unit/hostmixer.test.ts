import { describe, expect, it } from 'vitest'
import type { Part, ToPlayer } from '../../src/host/messages.ts'
import { TakeMixer } from '../../src/host/mixer.ts'
import { fitted } from '../../src/host/player.ts'

const string = Float32Array.of(0.1, 0.2, 0.3, 0.4, 0.5, 0.6)
const noise = Float32Array.of(-0.05, 0.07, -0.11, 0.13, -0.17, 0.19)
const take = string.map((sample, i) => sample + noise[i])

const mixer = (part: Part, rampSamples: number, playing = true) =>
  new TakeMixer({ string, noise, part, rampSamples, playing })

/** The next `count` samples, written over a canary. */
function next(from: TakeMixer, count: number): number[] {
  const out = new Float32Array(count).fill(Number.NaN)
  from.fill(out)
  return [...out]
}

describe('TakeMixer', () => {
  it('without fades plays string, noise and take sample for sample, then silence', () => {
    expect(next(mixer('string', 0), 8)).toEqual([...string, 0, 0])
    expect(next(mixer('noise', 0), 8)).toEqual([...noise, 0, 0])
    const whole = mixer('mix', 0)
    expect([...next(whole, 4), ...next(whole, 4)]).toEqual([...take, 0, 0])
    expect(whole.playing).toBe(false)
  })

  it('is silent until it is told to play', () => {
    const quiet = mixer('mix', 0, false)
    expect(next(quiet, 3)).toEqual([0, 0, 0])
    quiet.obey({ kind: 'play', fromSample: 4 })
    expect(next(quiet, 3)).toEqual([take[4], take[5], 0])
  })

  it('rises from silence, falls before the end, and fades a pause', () => {
    const ones = new Float32Array(12).fill(1)
    const zeros = new Float32Array(12)
    const faded = new TakeMixer({ string: ones, noise: zeros, part: 'string', rampSamples: 4, playing: true })
    expect(next(faded, 14)).toEqual([0.25, 0.5, 0.75, 1, 1, 1, 1, 1, 1, 0.75, 0.5, 0.25, 0, 0])
    const paused = new TakeMixer({ string: ones, noise: zeros, part: 'string', rampSamples: 4, playing: true })
    next(paused, 5)
    paused.obey({ kind: 'pause' })
    expect(next(paused, 6)).toEqual([0.75, 0.5, 0.25, 0, 0, 0])
    expect(paused.playing).toBe(false)
  })

  it('crosses from one side to the other without a jump', () => {
    const ones = new Float32Array(40).fill(1)
    const zeros = new Float32Array(40)
    const crossing = new TakeMixer({ string: ones, noise: zeros, part: 'string', rampSamples: 4, playing: true })
    next(crossing, 8)
    crossing.obey({ kind: 'hear', part: 'noise' })
    expect(next(crossing, 5)).toEqual([0.75, 0.5, 0.25, 0, 0])
    crossing.obey({ kind: 'hear', part: 'mix' })
    expect(next(crossing, 5)).toEqual([0.25, 0.5, 0.75, 1, 1])
  })

  it('loops only when asked to', () => {
    const looping = mixer('string', 0)
    looping.obey({ kind: 'loop', on: true })
    expect(next(looping, 9)).toEqual([...string, ...string.subarray(0, 3)])
    looping.obey({ kind: 'loop', on: false })
    expect(next(looping, 5)).toEqual([...string.subarray(3), 0, 0])
    const empty = new TakeMixer({
      string: new Float32Array(0),
      noise: new Float32Array(0),
      part: 'mix',
      rampSamples: 0,
      playing: true,
    })
    empty.obey({ kind: 'loop', on: true })
    expect(next(empty, 2)).toEqual([0, 0])
  })

  it('holds what leaves within full scale, and lets nothing out that is no number', () => {
    const wild = Float32Array.of(3, -3, Number.NaN, Number.POSITIVE_INFINITY, Number.NEGATIVE_INFINITY, 0.5)
    const held = new TakeMixer({ string: wild, noise: new Float32Array(6), part: 'mix', rampSamples: 0, playing: true })
    expect(next(held, 6)).toEqual([1, -1, 0, 1, -1, 0.5])
  })

  it('refuses an odd place to start and an unknown message', () => {
    const odd = mixer('string', 0, false)
    odd.obey({ kind: 'play', fromSample: Number.NaN })
    expect(next(odd, 1)).toEqual([string[0]])
    odd.obey({ kind: 'play', fromSample: -7.5 })
    expect(odd.position).toBe(0)
    odd.obey({ kind: 'play', fromSample: 1e9 })
    expect(next(odd, 2)).toEqual([0, 0])
    expect(() => odd.obey({ kind: 'sing' } as unknown as ToPlayer)).toThrow('no such message: "sing"')
  })
})

describe('fitted', () => {
  it('leaves a take alone that fits', () => {
    const sides = fitted({ string, noise, sampleRateHz: 48000 }, 48000)
    expect(sides.string).toBe(string)
    expect(sides.noise).toBe(noise)
  })

  it('turns the whole take down when the room is far above full scale', () => {
    const loud = noise.map((sample) => sample * 1000)
    const sides = fitted({ string, noise: loud, sampleRateHz: 48000 }, 48000)
    // The largest magnitude is that of the last sum: 0.6 + 190.
    const peak = string[5] + loud[5]
    expect([...sides.string]).toEqual([...string.map((sample) => sample / peak)])
    expect(Math.max(...sides.noise.map((sample, i) => Math.abs(sample + sides.string[i])))).toBeCloseTo(1, 6)
  })

  it('brings a take to the rate of the context', () => {
    const second = new Float32Array(44100)
    expect(fitted({ string: second, noise: second, sampleRateHz: 44100 }, 48000).string.length).toBe(48000)
  })

  it('refuses sides of different length', () => {
    expect(() => fitted({ string, noise: noise.subarray(1), sampleRateHz: 48000 }, 48000)).toThrow('are no take')
  })
})
