/** Reasons for claims and for their absence, on readings made by hand; and the words they become. */
import { describe, expect, it } from 'vitest'
import { whyNote, whySentence } from '../../src/app/trial/sentence.ts'
import { randomStream } from '../../src/core/maths/random.ts'
import { centsBetween, hzFromCents } from '../../src/core/maths/units.ts'
import type { Reading } from '../../src/core/methods/method.ts'
import type { Partial, Truth } from '../../src/core/scene/scene.ts'
import { scoreReadings } from '../../src/core/score/score.ts'
import { longestRunS } from '../../src/core/study/holding.ts'
import { type Line, strongestLine } from '../../src/core/study/lines.ts'
import type { Variant } from '../../src/core/study/study.ts'
import { toneOf, type Why, why } from '../../src/core/study/why.ts'

const sampleRateHz = 48000
const settledHz = 100
const onsetS = 0.5
const settings = { spanCents: 6, holdS: 0.25, tolCents: 5 }
const truth: Truth = { onsetS, settledHz, track: [] }
/** Partial 2 starts twice as strong as partial 1: 6.0 dB. Neither fades. */
const partials: readonly Partial[] = [
  { k: 1, frequencyHz: 100, amplitude: 0.1, decayPerS: 0 },
  { k: 2, frequencyHz: 200, amplitude: 0.2, decayPerS: 0 },
]
const windowSamples = 2400

/** A reading every `everyS`, the first one heard wholly after the pluck; null declines. */
const readingsOf = (hz: readonly (number | null)[], everyS = 0.02, startS = onsetS): Reading[] => [
  ...evenly([null], everyS, startS - everyS),
  ...evenly(hz, everyS, startS),
]

const evenly = (hz: readonly (number | null)[], everyS: number, startS: number): Reading[] =>
  hz.map((f0Hz, i) => {
    const fromSample = Math.round((startS + i * everyS) * sampleRateHz)
    const toSample = fromSample + windowSamples
    const atSample = fromSample + windowSamples / 2
    return { fromSample, toSample, atSample, f0Hz: f0Hz ?? Number.NaN, confidence: 1, spreadCents: Number.NaN }
  })

const cents = (...values: readonly number[]): number[] => values.map((value) => hzFromCents(value, settledHz))
const times = <T>(count: number, make: (i: number) => T): T[] => Array.from({ length: count }, (_, i) => make(i))

interface Case {
  readonly readings: readonly Reading[]
  readonly twin?: readonly Reading[]
  readonly variant?: Variant
  readonly family?: 'blind' | 'aimed'
  readonly line?: Line | null
}

function told({ readings, twin = [], variant = 'string', family = 'blind', line = null }: Case): Why {
  const noString = variant === 'no-string'
  const alwaysFalse = variant === 'wrong-string' && family === 'aimed'
  const score = scoreReadings({ readings, sampleRateHz, truth, twin, settings, noString, alwaysFalse })
  const lineIn = ({ lowHz, highHz }: { lowHz: number; highHz: number }): Line | null =>
    line !== null && line.hz >= lowHz && line.hz <= highHz ? line : null
  return why({ family, readings, twin, score, sampleRateHz, truth, settings, variant, partials, lineIn })
}

const say = (given: Case): string => whySentence('yin', told(given), settings)
const steady = (at: number, count = 40): Reading[] => readingsOf(times(count, () => hzFromCents(at, settledHz)))

describe('a claim', () => {
  it('that is true names its error, its moment and how close its readings lay', () => {
    // The hold is complete once the declined reading before the first is more than 0.25 s old: with the 13th, heard
    // 0.05 + 12 * 0.02 s after the pluck. Seven of its readings lie at 2 c, six at 0.
    const readings = readingsOf(times(40, (i) => hzFromCents(i % 2 === 0 ? 2 : 0, settledHz)))
    expect(say({ readings, twin: steady(0) })).toBe(
      'yin claimed 2.0 c sharp, true, 0.29 s after the pluck: its readings lay within 2.0 c for 0.25 s.',
    )
  })

  it('that is true says what the method adds in quiet', () => {
    expect(say({ readings: steady(3), twin: steady(2.5) })).toContain('In quiet it reads 2.5 c sharp.')
  })

  it('that is false in quiet too is not blamed on the room', () => {
    const given = { readings: steady(8), twin: steady(7.5) }
    expect(say(given)).toBe('yin claimed 8.0 c sharp, false even in quiet: without any noise it claims 7.5 c sharp.')
    expect(whyNote(told(given))).toBe('false in quiet too')
  })

  it('that a tone moved further than the quiet one is told with both', () => {
    const line = { hz: hzFromCents(33, settledHz), amplitude: 0.1, overFloorDb: 30 }
    expect(say({ readings: steady(16.6), twin: steady(6.8), line })).toBe(
      'yin claimed 16.6 c sharp, false even in quiet: without any noise it claims 6.8 c sharp. The rest came with a tone of the room at 101.9 Hz, 33.0 c above partial 1.',
    )
  })

  it('beside a tone of the room is told with the tone, its distance to the nearest partial and its strength', () => {
    // 0.2 over the partial's 0.1 is 20 lg 2 = 6.02 dB.
    const line = { hz: hzFromCents(-7.1, settledHz), amplitude: 0.2, overFloorDb: 30 }
    expect(say({ readings: steady(-7.6), twin: steady(0), line })).toBe(
      'yin claimed 7.6 c flat, false: a tone of the room at 99.6 Hz, 7.1 c below partial 1 and 6.0 dB stronger, held its readings.',
    )
  })

  it('without a tone near says so, and what the method claims in quiet', () => {
    expect(say({ readings: steady(9), twin: steady(1.2) })).toBe(
      'yin claimed 9.0 c sharp, false: the room moved all readings of the hold one way, and no tone of it stands near. In quiet it claims 1.2 c sharp.',
    )
  })

  it('an octave away names the partial, or the part of the string', () => {
    const high = say({ readings: steady(1203), twin: steady(0) })
    expect(high).toContain('claimed an octave high (1203 c sharp), false: it followed partial 2')
    expect(high).toContain('which starts 6.0 dB stronger than partial 1')
    expect(say({ readings: steady(-1200), twin: steady(0) })).toContain('half the string’s frequency, 50.0 Hz')
  })

  it('before the pluck tells how long before, and of what pitch', () => {
    // Readings from the start of the take on, the first heard at 0.05 s: the 11th is the first that is heard a hold in.
    const readings = evenly(
      times(24, () => 73.4),
      0.02,
      0,
    )
    const sentence = say({ readings, line: { hz: 73.4, amplitude: 0.1, overFloorDb: 20 } })
    expect(sentence).toBe(
      'yin claimed 73.4 Hz, false, 0.25 s before the pluck: a tone of the room at 73.4 Hz held its readings.',
    )
  })

  it('of an aimed method told another string is no riddle', () => {
    expect(say({ readings: steady(0), twin: steady(0), variant: 'wrong-string', family: 'aimed' })).toBe(
      'yin claimed 0.00 c off, false: it was told another string than the one plucked.',
    )
  })

  it('of such a method that made none says it too', () => {
    const readings = readingsOf(times(30, (i) => (i % 3 === 0 ? null : 80 + i)))
    expect(say({ readings, variant: 'wrong-string', family: 'aimed' })).toBe(
      'yin made no claim in 0.63 s: it was told another string than the one plucked, and declined 10 of 30 readings.',
    )
  })

  it('where no string sounds is the room’s alone', () => {
    expect(say({ readings: steady(0), variant: 'no-string' })).toContain('false: no string sounds here')
    expect(say({ readings: readingsOf([null, null, null]), variant: 'no-string' })).toContain('no string sounds here.')
  })
})

describe('no claim', () => {
  it('because readings are scattered names the narrowest stretch', () => {
    // Any 14 neighbours hold both a 0 and a 9.
    const readings = readingsOf(times(40, (i) => hzFromCents(i % 3 === 0 ? 9 : 0, settledHz)))
    expect(told({ readings }).cause).toEqual({
      kind: 'scattered',
      leastCents: expect.closeTo(9, 9),
      declined: 0,
      of: 40,
    })
    expect(say({ readings })).toContain('never stayed within 6 c for 0.25 s; the closest stretch spans 9.0 c.')
  })

  it('because every stretch holds a declined reading counts them', () => {
    const readings = readingsOf(times(40, (i) => (i % 5 === 4 ? null : settledHz)))
    // Four answers in a row last three steps of 0.02 s.
    expect(say({ readings })).toContain(
      'it declined 8 of 40 readings, and never answered for longer than 0.06 s in a row.',
    )
    expect(say({ readings: readingsOf(times(9, () => null)) })).toContain('it declined all 9 readings.')
  })

  it('because readings come too rarely names the pace the hold needs', () => {
    // Five readings in 0.25 s are 0.0625 s apart; a third of the hold, 0.083 s, is the weaker condition.
    const readings = readingsOf(
      times(10, () => settledHz),
      0.1,
    )
    expect(told({ readings }).cause).toEqual({ kind: 'slow', everyS: expect.closeTo(0.1, 9), neededS: 0.0625 })
  })

  it('because the take ended first says how long it had been steady', () => {
    const readings = readingsOf([
      ...times(20, (i) => hzFromCents(20 * (i % 2), settledHz)),
      ...times(10, () => settledHz),
    ])
    const { cause } = told({ readings })
    // The last reading of the unsteady part lies at 20 c; ten at 0 c last nine steps of 0.02 s.
    expect(cause).toEqual({ kind: 'ended', steadyS: expect.closeTo(0.18, 9) })
  })

  it('because most readings lie on a partial names it', () => {
    const readings = readingsOf(times(40, (i) => hzFromCents(i % 4 === 0 ? 0 : 1200 + 9 * (i % 3), settledHz)))
    expect(say({ readings })).toContain('30 of 40 readings lay 50 c or more away, all on partial 2')
  })

  it('because readings jump names where most of the jumps went', () => {
    const jumps = [0, 0, 0, -1200, 0, 0, 0, -1197]
    const readings = readingsOf(times(40, (i) => hzFromCents(jumps[i % 8] as number, settledHz)))
    expect(told({ readings }).cause).toMatchObject({ kind: 'elsewhere', count: 10, of: 40, octaves: 10, together: 10 })
    expect(say({ readings })).toBe(
      'yin made no claim in 0.83 s: 10 of 40 readings lay 50 c or more away, all on half the string’s frequency, 50.0 Hz, so no 0.25 s stayed within 6 c.',
    )
    expect(whyNote(told({ readings }))).toBe('10 of 40 away')
  })

  it('because readings jump to a note of the room names the note', () => {
    const readings = readingsOf(times(40, (i) => (i % 8 === 3 ? 66.1 : settledHz)))
    const line = { hz: 66, amplitude: 0.1, overFloorDb: 20 }
    // 1200 lg2(66 / 100) = -719.4 c.
    expect(say({ readings, line })).toContain('all on a tone of the room at 66.0 Hz, 719 c below partial 1')
  })

  it('because readings jump anywhere counts octaves apart', () => {
    const away = [-1200, 700, -500, 2400, 1000, -300, 350, -900]
    const readings = readingsOf(
      times(40, (i) => hzFromCents(i % 5 === 4 ? (away[(i - 4) / 5] as number) : 0, settledHz)),
    )
    expect(told({ readings }).cause).toMatchObject({ count: 8, octaves: 2, together: 1 })
    expect(say({ readings })).toContain('8 of 40 readings lay 50 c or more away, 2 of them by whole octaves')
  })

  it('without any reading after the pluck says that', () => {
    const readings = readingsOf(cents(0, 50, 90), 0.02, 0.1)
    expect(say({ readings })).toContain('no reading was heard wholly after the pluck')
  })
})

describe('longest run', () => {
  it('is that of answers only', () => {
    expect(longestRunS(readingsOf([null, 100, 100, 100, null, 100]), sampleRateHz)).toBeCloseTo(0.04, 9)
    expect(longestRunS([], sampleRateHz)).toBe(0)
  })
})

describe('tones of a room', () => {
  const noise = (seed: number, toneHz = 0, amplitude = 0): Float32Array => {
    const samples = new Float32Array(sampleRateHz)
    randomStream(seed, 'room').fillGaussian(samples)
    return samples.map((value, i) => value + amplitude * Math.sin((2 * Math.PI * toneHz * i) / sampleRateHz + 0.4))
  }
  const span = { fromS: 0.1, toS: 0.9, lowHz: 30, highHz: 1500 }

  it('are found where they are', () => {
    // sd of a tone's frequency over 0.8 s of white noise (Rife & Boorstyn 1974, eq. for unknown phase and amplitude):
    // sqrt(12 / (snr N^3)) rate / 2 pi with snr = a^2 / (2 s^2) = 0.02, N = 38400: 0.025 Hz; the Hann window costs less than
    // a factor 2 in sd (equivalent noise bandwidth 1.5, main lobe twice as wide). Five of those.
    for (const toneHz of [146.2, 97.93, 1203.4]) {
      const line = strongestLine(noise(3, toneHz, 0.2), sampleRateHz, span)
      expect(Math.abs((line?.hz ?? 0) - toneHz)).toBeLessThan(0.25)
      expect(line?.overFloorDb).toBeGreaterThan(16)
    }
  })

  it('have the amplitude of the sinusoid', () => {
    // sd of the amplitude: s sqrt(2 * 1.5 / N) = 0.009 around 0.5: five of those, and 1.5 % more for a peak between two bins.
    const line = strongestLine(noise(4, 220.7, 0.5), sampleRateHz, span)
    expect(Math.abs((line?.amplitude ?? 0) - 0.5)).toBeLessThan(0.053)
  })

  it('are not seen in plain noise', () => {
    // 12 rooms of about 1200 bins, each with a chance far below one in a million.
    for (let seed = 0; seed < 12; seed++) expect(strongestLine(noise(seed), sampleRateHz, span)).toBeNull()
  })

  it('are told from the nearest partial in cents, with the strength at that time', () => {
    const fading = partials.map((partial) => ({ ...partial, decayPerS: 1 }))
    const tone = toneOf({ hz: 190, amplitude: 0.1, overFloorDb: 20 }, truth, fading, 1)
    expect(tone.k).toBe(2)
    expect(tone.fromPartialCents).toBeCloseTo(centsBetween(190, 200), 9)
    // 0.1 over 0.2 / e: 20 lg (e / 2) = 2.665 dB.
    expect(tone.overPartialDb).toBeCloseTo(2.665, 3)
  })
})
