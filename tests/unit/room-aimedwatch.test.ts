/** Beside aimed methods: the string itself is not accused, an octave of it is told, and no word outlives its pluck. */
import { describe, expect, it } from 'vitest'
import { AimedEvidence, type Evidence } from '../../src/core/room/aimedevidence.ts'
import { AimedWatch, type Foreign } from '../../src/core/room/aimedwatch.ts'
import { noiseFigures } from '../../src/core/room/noisetake.ts'
import { guitar, makeTake, roomStrings } from './roomtakes.ts'

const rateHz = 16_000
const strings = roomStrings(guitar)
const stringOf = (id: string) => strings.find((one) => one.id === id) ?? strings[0]
const octave: Foreign = { kind: 'octave-above', string: null }
const other = (string: string | null): Foreign => ({ kind: 'another', string })

interface Said {
  readonly atS: number
  readonly foreign: Foreign | null | 'pluck'
}

function saidOf(aimed: string, samples: Float32Array, noise: Float32Array, block = 160): Said[] {
  const said: Said[] = []
  let at = 0
  const watch = new AimedWatch(rateHz, stringOf(aimed), strings, noiseFigures(noise, rateHz, strings), {
    onPluck: () => said.push({ atS: at / rateHz, foreign: 'pluck' }),
    onForeign: (foreign) => said.push({ atS: at / rateHz, foreign }),
  })
  while (at < samples.length) {
    const part = samples.subarray(at, at + block)
    at += part.length
    watch.push(part)
  }
  return said
}

const take = (string: string, cents: number, wish: Partial<Parameters<typeof makeTake>[0]> = {}) =>
  makeTake({ string, cents, room: 'pink', snrDb: 15, seed: 71, rateHz, takeS: 2.2, ...wish })
const words = (said: readonly Said[]): Said['foreign'][] => said.map(({ foreign }) => foreign)

describe('a watch on the string that is aimed at', () => {
  it('accuses no string of being another, plucked near the bridge, at a third or in the middle', () => {
    for (const string of guitar) {
      for (const pickRatio of [0.13, 1 / 3, 0.5]) {
        const made = take(string, 20, { pluck: { pickRatio } })
        expect([string, pickRatio, words(saidOf(string, made.samples, made.noise))]).toEqual([
          string,
          pickRatio,
          ['pluck'],
        ])
      }
    }
  })

  it('tells an octave above within 0.6 s of the pluck, and an octave below', () => {
    for (const string of guitar) {
      const above = take(string, 1210)
      const told = saidOf(string, above.samples, above.noise).filter(({ foreign }) => foreign !== 'pluck')
      expect([string, words(told)]).toEqual([string, [octave]])
      // Five looks of 85 ms have the pluck in them, and a third of a second is in each.
      expect(told[0]?.atS).toBeLessThan(above.onsetS + 0.6)
      const below = take(string, -1195)
      expect([string, words(saidOf(string, below.samples, below.noise))]).toEqual([string, [other(null)]])
    }
  })

  it('names another string of the instrument', () => {
    const made = take('A2', 5)
    expect(words(saidOf('E2', made.samples, made.noise))).toEqual([other('A2')])
  })

  it('takes its word back at the next pluck, and does not say it of the string itself', () => {
    for (const [sounds, cents, word] of [
      ['E2', 1200, octave],
      ['A2', 0, other('A2')],
    ] as const) {
      const first = take(sounds, cents, { snrDb: 20 })
      const second = take('E2', 0, { snrDb: 20 })
      // A hand stops the first and plucks the second: the one's sound ends where the other's begins.
      const samples = new Float32Array(2 * first.samples.length)
      samples.set(first.samples)
      samples.set(second.samples, first.samples.length - second.onsetS * rateHz)
      const said = words(saidOf('E2', samples, first.noise)).filter((one) => one !== 'pluck')
      expect([sounds, said]).toEqual([sounds, [word, null]])
    }
  })

  it('takes its word back when nothing is heard for three seconds', () => {
    const made = take('E2', 1200)
    const silence = new Float32Array(5 * rateHz)
    const samples = new Float32Array(made.samples.length + silence.length)
    samples.set(made.samples)
    const said = saidOf('E2', samples, made.noise).filter(({ foreign }) => foreign !== 'pluck')
    expect(words(said)).toEqual([octave, null])
    expect(said[1]?.atS).toBeGreaterThan(made.samples.length / rateHz + 3)
    expect(said[1]?.atS).toBeLessThan(made.samples.length / rateHz + 4)
  })

  it('says the same however the stream is cut', () => {
    const made = take('D3', 1200)
    const [fine, coarse] = [7, 4001].map((block) => words(saidOf('D3', made.samples, made.noise, block)))
    expect(fine).toEqual(coarse)
  })
})

describe('evidence of one string', () => {
  /** Partials of 100 Hz at a power over noise each; everything else is noise at power 1. */
  function evidenceOf(overAt: (hz: number) => number, looks = 4): Evidence {
    const evidence = new AimedEvidence()
    const at = (hz: number) => ({ over: overAt(hz), power: overAt(hz) })
    for (let i = 0; i < looks; i++) evidence.add({ f1Hz: 100, stiffness: 0 }, 10, at)
    return evidence.evidence()
  }
  const every = (stepHz: number, power: number) => (hz: number) =>
    Math.abs(hz / stepHz - Math.round(hz / stepHz)) < 1e-9 ? power : 1

  it('is unsure until it has heard for long enough, and where nothing stands', () => {
    expect(evidenceOf(every(100, 1000), 3)).toBe('unsure')
    expect(evidenceOf(every(100, 1000), 4)).toBe('own')
    expect(evidenceOf(() => 1)).toBe('unsure')
  })

  it('calls a place empty only where a partial 15 dB under its neighbours would be heard', () => {
    // 0.03 of the neighbours is to be 3 times the noise: from a ratio of 100 on.
    expect(evidenceOf(every(200, 101))).toBe('octave-above')
    expect(evidenceOf(every(200, 99))).toBe('unsure')
    expect(evidenceOf(every(300, 1000))).toBe('higher')
  })

  it('does not accuse a string of which one odd partial is heard, nor one without even ones', () => {
    const one = (hz: number): number => (Math.abs(hz - 300) < 1 ? 40 : every(200, 1000)(hz))
    expect(evidenceOf(one)).toBe('unsure')
    const odd = (hz: number): number => (Math.round(hz / 100) % 2 === 1 ? every(100, 1000)(hz) : 1)
    expect(evidenceOf(odd)).toBe('own')
  })

  it('hears a lower string between partials, and no sympathetic one', () => {
    expect(evidenceOf(every(50, 1000))).toBe('lower')
    expect(evidenceOf(every(100 / 3, 1000))).toBe('lower')
    const ringing = (hz: number): number => Math.max(every(50, 50)(hz), every(100, 1000)(hz))
    expect(evidenceOf(ringing)).toBe('own')
  })
})
