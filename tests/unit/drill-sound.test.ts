import { describe, expect, it } from 'vitest'
import { exerciseById } from '../../src/core/drill/exercises.ts'
import { freshDetector } from '../../src/core/drill/fresh.ts'
import { type LiveCommand, LivePlucks } from '../../src/core/drill/liveplucks.ts'
import { bestWay } from '../../src/core/drill/policy.ts'
import { scoreOf } from '../../src/core/drill/score.ts'
import { roomLoop, soundingOf } from '../../src/core/drill/sounding.ts'
import { fill } from '../../src/core/fields.ts'
import { dbFromPowerRatio, hzFromCents } from '../../src/core/maths/units.ts'
import { addPluck } from '../../src/core/scene/pluck.ts'
import { pluckFields } from '../../src/core/scene/scene.ts'
import { made } from './drillparts.ts'

const sampleRateHz = 48_000
const plain = (over = {}) =>
  fill(pluckFields, { firstPartialHz: 110, stiffness: 5e-5, decayS: 5, highDecayRatio: 0.5, pickRatio: 0.13, ...over })

function heard(commands: readonly LiveCommand[], seconds: number, over = {}, cut = 128): Float32Array {
  const setup = { sampleRateHz, strings: [{ pluck: plain(over), seed: 1 }], room: new Float32Array(0), roomGain: 0 }
  const live = new LivePlucks(setup)
  for (const command of commands) live.obey(command)
  const out = new Float32Array(Math.round(seconds * sampleRateHz))
  for (let at = 0; at < out.length; at += cut) live.fill(out.subarray(at, Math.min(out.length, at + cut)))
  return out
}

/** Frequency near `nearHz` over [from, to) s: the phase of two halves under a raised cosine, 4 times refined. */
function frequency(samples: Float32Array, nearHz: number, fromS: number, toS: number): number {
  const from = Math.round(fromS * sampleRateHz)
  const half = Math.floor((Math.round(toS * sampleRateHz) - from) / 2)
  const phase = (start: number, hz: number): number => {
    let [re, im] = [0, 0]
    for (let i = 0; i < half; i++) {
      const weight = 1 - Math.cos((2 * Math.PI * (i + 0.5)) / half)
      const angle = (2 * Math.PI * hz * (start + i)) / sampleRateHz
      re += weight * samples[start + i] * Math.cos(angle)
      im -= weight * samples[start + i] * Math.sin(angle)
    }
    return Math.atan2(im, re)
  }
  let hz = nearHz
  for (let round = 0; round < 4; round++) {
    const turn = phase(from + half, hz) - phase(from, hz)
    const wrapped = turn - 2 * Math.PI * Math.round(turn / (2 * Math.PI))
    hz += (wrapped * sampleRateHz) / (2 * Math.PI * half)
  }
  return hz
}

const centsOff = (hz: number, wanted: number): number => 1200 * Math.log2(hz / wanted)

describe('strings that sound while they are turned', () => {
  const pluck = { kind: 'pluck', string: 0, f1Hz: 110, seed: 5 } as const

  it('are the pluck of the scene while nobody turns', () => {
    // One polarisation, no glide, no noise of the pluck: the two render the same law by different recurrences.
    const out = heard([pluck], 1)
    const target = new Float64Array(out.length)
    addPluck(target, plain(), sampleRateHz, { seed: 1, index: 0 })
    const worst = out.reduce((most, value, i) => Math.max(most, Math.abs(value - target[i])), 0)
    // Voices end at -100 dB here and at -120 dB there; some 200 of them: 1e-5 of the strongest, 0.1, each.
    expect(worst).toBeLessThan(1e-4)
  })

  it.each([-80, -12.5, 0.4, 37, 140])('stand within 0.1 c of the command after a turn by %f c', (cents) => {
    const f1Hz = hzFromCents(cents, 110)
    const out = heard([pluck, { kind: 'f1', f1Hz, atSample: 24_000 }], 4)
    expect(Math.abs(centsOff(frequency(out, 110, 0, 0.45), 110))).toBeLessThan(0.1)
    expect(Math.abs(centsOff(frequency(out, f1Hz, 0.8, 4), f1Hz))).toBeLessThan(0.1)
  })

  it('neither click nor jump: no step over what the string does by itself, through many turns', () => {
    const steps = Array.from(
      { length: 40 },
      (_, i): LiveCommand => ({
        kind: 'f1',
        f1Hz: hzFromCents(3 * (i + 1), 110),
        atSample: 12_000 + i * 777,
      }),
    )
    const biggest = (samples: Float32Array): number => {
      let most = 0
      for (let i = 12_001; i < samples.length; i++) {
        // Second difference: what a click is made of.
        most = Math.max(most, Math.abs(samples[i] - 2 * samples[i - 1] + samples[i - 2]))
      }
      return most
    }
    const still = biggest(heard([pluck], 1))
    // 120 c up is 7 % in frequency, 15 % in a second difference; phases of partials meet differently.
    expect(biggest(heard([pluck, ...steps], 1))).toBeLessThan(1.5 * still)
  })

  it('give the same samples however the stream is cut', () => {
    const commands: LiveCommand[] = [
      { ...pluck, atSample: 37 },
      { kind: 'f1', f1Hz: 112, atSample: 5000 },
      { ...pluck, f1Hz: 112, seed: 6, atSample: 9001 },
      { kind: 'damp', atSample: 15_000 },
    ]
    const over = { glideCents: 3, glideS: 0.15, attackMs: 25, attackDb: 0, polMix: 0.4, polCents: 1.5, polDecay: 2.5 }
    const whole = heard(commands, 0.5, over, 24_000)
    for (const cut of [1, 129, 1000]) {
      const out = heard(commands, 0.5, over, cut)
      expect(out.findIndex((value, i) => value !== whole[i])).toBe(-1)
    }
    expect(whole.slice(0, 37).every((value) => value === 0)).toBe(true)
    // Muted: 60 dB in 40 ms, so nothing is left after 80.
    expect(whole.slice(19_000).every((value) => value === 0)).toBe(true)
  })
})

describe('the room of an exercise', () => {
  it('stands at the ratio to the string, in the first second after a pluck', { timeout: 30_000 }, () => {
    const exercise = made({ room: 'pink', snrDb: 6 })
    const { samples, spectrum } = roomLoop(exercise, 3, sampleRateHz)
    const { strings, homeHz } = soundingOf(exercise, 3, sampleRateHz)
    const [string] = strings
    const quiet = { ...string, pluck: { ...string.pluck, attackMs: 0 } }
    const live = new LivePlucks({ sampleRateHz, strings: [quiet], room: new Float32Array(0), roomGain: 0 })
    live.obey({ kind: 'pluck', string: 0, f1Hz: homeHz[0], seed: 1 })
    const second = new Float32Array(sampleRateHz)
    live.fill(second)
    const power = (values: Float32Array): number => values.reduce((sum, v) => sum + v * v, 0) / values.length
    // The level of a pluck leaves cross terms between partials out: under a percent, and the glide moves it as little.
    expect(dbFromPowerRatio(power(second) / power(samples))).toBeCloseTo(6, 0)
    const density = spectrum.density.reduce((sum, value) => sum + value * spectrum.binHz, 0)
    expect(dbFromPowerRatio(density / power(samples))).toBeCloseTo(0, 0)
  })

  it('has no seam', () => {
    const { samples } = roomLoop(made({ room: 'hum', snrDb: 0 }), 3, sampleRateHz)
    const step = (i: number): number => Math.abs(samples[(i + 1) % samples.length] - samples[i])
    let most = 0
    for (let i = 0; i < samples.length - 1; i++) most = Math.max(most, step(i))
    expect(step(samples.length - 1)).toBeLessThanOrEqual(most)
  })
})

describe('the best way played by ear', () => {
  it('tunes the first exercise on fresh seeds, and its own log is behind by nothing', { timeout: 60_000 }, () => {
    const exercise = exerciseById('quiet-fine')
    for (const seed of [11, 12]) {
      const best = bestWay(exercise, seed, freshDetector(exercise, seed))
      expect(best.undone).toBe(0)
      expect(best.worstCents).toBeLessThan(exercise.toleranceCents)
      expect(scoreOf(exercise, seed, JSON.parse(JSON.stringify(best.log)), best)).toMatchObject({
        ...{ lostS: 0, lostCents: 0, restS: 0, faults: [], passed: true },
      })
    }
  })
})
