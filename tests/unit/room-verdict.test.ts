/** Verdicts in words, from figures written down by hand. */
import { describe, expect, it } from 'vitest'
import { linesNear } from '../../src/core/room/linesnear.ts'
import { type NoiseFigures, noiseFigures } from '../../src/core/room/noisetake.ts'
import { type SteadyLine, steadyLines } from '../../src/core/room/steadylines.ts'
import { type StringFigures, type StringPartial, stringFigures } from '../../src/core/room/stringtake.ts'
import { isAnother, stringVerdict } from '../../src/core/room/verdict.ts'
import { makeTake, roomStrings } from './roomtakes.ts'

const strings = [
  { id: 'E2', title: 'E2', targetHz: 82.407, stiffness: 0 },
  { id: 'A2', title: 'A2', targetHz: 110, stiffness: 0 },
]
const [string] = strings as [(typeof strings)[number]]

const partial = (
  k: number,
  ratioDb: number | null,
  standing: StringPartial['standing'] = 'as-expected',
): StringPartial => ({
  ...{ k, lawHz: k * string.targetHz, frequencyHz: k * string.targetHz, deviationCents: 0, ratioDb, levelDb: -k },
  ...{ decayS: 5, standing, underNeighboursDb: 0 },
})

const heard: StringFigures = {
  ...{ string: 'E2', onsetS: 0.5, heardS: 2.5, f1Hz: 82.5, offCents: 2, f1SpreadCents: 0.1, stiffness: 6e-5 },
  ...{ stiffnessSpread: 1e-6, scatterCents: 1, decayS: 5, ratioDb: 14.2, ratioAtDb: [16, 15, 12, 8] },
  partials: Array.from({ length: 10 }, (_, i) => partial(i + 1, 20)),
  ...{ glide: null, ringing: [], missing: {} },
}

/** 1e-8 / Hz everywhere: the band of partial 1, 4.76 Hz, holds -73.2 dB. */
const flat = { binHz: 0.5, density: new Float64Array(8001).fill(1e-8) }

const room = (lines: readonly SteadyLine[]): NoiseFigures => ({
  ...{ sampleRateHz: 8000, durationS: 5, levelDbfs: -44, peakDbfs: -30, thirdOctaves: [], segments: 9 },
  ...{
    spectrum: flat,
    fineSpectrum: flat,
    loudestSpectrum: flat,
    tenthPowers: new Float64Array(50).fill(4e-5),
    lines,
    strings,
  },
})

const line = (hz: number, levelDbfs: number, family: SteadyLine['family'] = { kind: 'alone' }): SteadyLine => ({
  ...{ hz, levelDbfs, overFloorDb: levelDbfs + 80, family, nearest: null },
})

describe('verdict', () => {
  it('says how far a string stands over the room, and nothing more where there is no more', () => {
    const verdict = stringVerdict(string, heard, room([]))
    expect(verdict).toEqual({ string: 'E2', kind: 'clear', sentence: 'E2: 14 dB over this room.', reasons: [] })
  })

  it('names the line that lies nearest in strength, with its place and strength', () => {
    // 84.09 Hz: 1200 log2(84.09 / 82.407) = 35.0 c. Partial 1 has -73.2 + 20 = -53.2 dB.
    const hum = line(84.09, -56.2, { kind: 'mains', nominalHz: 50, baseHz: 50, harmonic: 2 })
    const tone = line(164.814, -60)
    const verdict = stringVerdict(string, heard, room([tone, hum]))
    expect(verdict.kind).toBe('line-near')
    expect(verdict.sentence).toBe(
      'E2: 14 dB over this room; a 84.1 Hz hum line lies 35 c above partial 1, 3 dB under it.',
    )
    // Partial 2's band is twice as wide: -50.2 dB, so the tone is 10 dB under it: the last that counts.
    expect(verdict.reasons[0]).toBe('A steady tone of 164.8 Hz lies on partial 2, 10 dB under it.')
    expect(stringVerdict(string, heard, room([line(84.09, -64)])).kind).toBe('clear')
    expect(stringVerdict(string, heard, room([line(90, -40)])).kind).toBe('clear')
  })

  it('tells ringing strings, fading, weak partials and what is missing', () => {
    const figures: StringFigures = {
      ...heard,
      ratioAtDb: [10, 3, null, null],
      ringing: [{ string: 'A2', when: 'while', overStringDb: -12, cents: 3 }],
      partials: [partial(1, 20, 'weak'), partial(2, null, 'missing'), partial(3, 9), partial(4, null, 'unheard')],
      missing: { stiffness: 'Too few.', scatterCents: 'Too few.' },
    }
    const verdict = stringVerdict(string, figures, room([]))
    expect(verdict.kind).toBe('ringing')
    expect(verdict.sentence).toBe('E2: 14 dB over this room; A2 sounds along with it, 12 dB under this string.')
    expect(verdict.reasons).toEqual([
      'It is in the room again 1 s after the pluck.',
      'Partial 2 is missing.',
      'Partial 1 is weaker than the partials beside.',
      'Partial 4 is under the room.',
      'Too few.',
    ])
    // A take that ends early says nothing of fading.
    expect(stringVerdict(string, { ...heard, ratioAtDb: [10, 3, null, null], heardS: 0.9 }, room([])).kind).toBe(
      'clear',
    )
    expect(stringVerdict(string, { ...heard, ratioAtDb: [10, -1, null, null] }, room([])).kind).toBe('fades')
  })

  it('puts a string under the room, or unheard, before all else', () => {
    const hum = line(84.09, -50)
    expect(stringVerdict(string, { ...heard, ratioDb: -3 }, room([hum]))).toMatchObject({
      kind: 'under-room',
      sentence: 'E2: 3 dB under this room.',
    })
    expect(stringVerdict(string, { ...heard, ratioDb: null }, room([hum])).sentence).toBe(
      'E2: no louder than this room gets at times.',
    )
    const silent: StringFigures = { ...heard, partials: [], f1Hz: null, ratioDb: null, missing: { f1Hz: 'No string.' } }
    expect(stringVerdict(string, silent, room([]))).toMatchObject({
      kind: 'not-heard',
      sentence: 'E2: not heard in this take.',
    })
  })

  it('says nothing of a string but that another one sounded in its place', () => {
    const verdict = stringVerdict(string, heard, room([]), 'A2')
    expect(verdict).toEqual({
      string: 'E2',
      kind: 'other-string',
      sentence: 'E2: A2 sounded in its place.',
      reasons: [],
    })
    expect(isAnother(verdict)).toBe(true)
    expect(isAnother(stringVerdict(string, heard, room([]), 'E2'))).toBe(false)
  })

  it('tells an octave by every other partial, and no string that one partial or one kind is weak in', () => {
    const withStandings = (standing: (k: number) => StringPartial['standing']) =>
      stringVerdict(
        string,
        { ...heard, partials: heard.partials.map(({ k, ratioDb }) => partial(k, ratioDb, standing(k))) },
        room([]),
      )
    const octave = withStandings((k) => (k % 2 === 0 ? 'as-expected' : k === 1 ? 'unheard' : 'missing'))
    expect(octave.kind).toBe('octave')
    expect(octave.sentence).toBe('E2: an octave above it sounded: only every other partial is there.')
    // Picked in the middle a string lacks the even ones.
    expect(withStandings((k) => (k % 2 === 1 ? 'as-expected' : 'missing')).kind).toBe('clear')
    expect(withStandings((k) => (k % 2 === 0 || k === 3 ? 'as-expected' : 'missing')).kind).toBe('clear')
    expect(withStandings((k) => (k === 2 || k === 4 ? 'as-expected' : 'unheard')).kind).toBe('clear')
  })

  it('calls no octave the string that was asked for, in a room, and no string an octave', () => {
    // Figures of all strings: tests/bench/room.md.
    for (const id of ['E2', 'G3']) {
      const asked = roomStrings([id])[0] ?? string
      const kindAt = (cents: number): string => {
        const { noise, samples, rateHz } = makeTake({
          string: id,
          room: 'pink',
          snrDb: 15,
          cents,
          seed: 77,
          rateHz: 16_000,
        })
        const figures = noiseFigures(noise, rateHz, [asked])
        return stringVerdict(asked, stringFigures(samples, rateHz, asked, figures), figures).kind
      }
      expect(kindAt(1200), id).toBe('octave')
      expect(kindAt(-1200), id).toBe('not-heard')
      expect(['octave', 'not-heard'], id).not.toContain(kindAt(20))
    }
  })

  it('uses plain words: no praise, no blame', () => {
    const verdict = stringVerdict(string, { ...heard, ratioDb: 0.2 }, room([line(84.09, -50)]))
    const words = [verdict.sentence, ...verdict.reasons].join(' ')
    expect(words).toMatch(/^E2: level with this room; /)
    expect(words).not.toMatch(/\b(good|bad|poor|fine|excellent|sorry)\b/i)
  })
})

describe('lines near a string', () => {
  it('are of this string only, the one strongest beside its partial first', () => {
    const near = linesNear(string, heard, room([line(110, -40), line(164.814, -60), line(84.09, -56.2)]))
    expect(near.map(({ k }) => k)).toEqual([1, 2])
    expect(near[0]?.cents).toBeCloseTo(35.0, 1)
    expect(near[0]?.overPartialDb).toBeCloseTo(-3.0, 1)
  })

  it('come from nowhere without sound', () => {
    expect(linesNear(string, heard, room(steadyLines(new Float32Array(80000), 16000, strings)))).toEqual([])
  })
})
