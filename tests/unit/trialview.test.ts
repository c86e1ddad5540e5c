/** What the pictures of a trial are drawn from: scale, lines, labels, ratios and grey levels. */
import { describe, expect, it } from 'vitest'
import { claimMarks } from '../../src/app/trial/claimLabels.ts'
import { partialRatios } from '../../src/app/trial/facts.ts'
import { plotTrack } from '../../src/app/trial/plottedTrack.ts'
import { type Frame, rulerTicks, timeTicks, xOf, yOf } from '../../src/app/trial/ruler.ts'
import { spectrogramOf } from '../../src/app/trial/spectrogram.ts'
import { hzFromCents } from '../../src/core/maths/units.ts'
import type { Reading } from '../../src/core/methods/method.ts'
import { amplitudeAt } from '../../src/core/study/fading.ts'
import type { Levels } from '../../src/core/study/levels.ts'
import type { Track } from '../../src/core/study/trial.ts'

const sampleRateHz = 48000
const frame: Frame = { widthPx: 600, heightPx: 300, fromS: 0.4, toS: 1.6, onsetS: 0.5 }

const readingsOf = (cents: readonly (number | null)[], everyS = 0.02): Reading[] =>
  cents.map((value, i) => {
    const toSample = Math.round((0.6 + i * everyS) * sampleRateHz)
    const f0Hz = value === null ? Number.NaN : hzFromCents(value, 100)
    return { fromSample: toSample - 4096, toSample, atSample: toSample - 2048, f0Hz, confidence: 1, spreadCents: 0.5 }
  })

const plot = (readings: readonly Reading[]) =>
  plotTrack(readings, frame, { sampleRateHz, settledHz: 100, longestGapS: 0.25 / 3, phase: 0 })

describe('the cents ruler', () => {
  it('is symmetric, with +50 c at the top and the truth in the middle', () => {
    expect([50, 0, -50].map((cents) => yOf(cents, frame))).toEqual([0, 150, 300])
    for (const cents of rulerTicks) expect(yOf(cents, frame) + yOf(-cents, frame)).toBeCloseTo(300, 9)
  })

  it('stands by its formula: ln(1 + 5 / 2) / ln(1 + 50 / 2) = 0.3845 of the half at 5 c', () => {
    expect(yOf(5, frame)).toBeCloseTo(150 * (1 - 0.3845), 1)
  })

  it('ticks round seconds from the pluck', () => {
    expect(timeTicks(frame).map((s) => Number(s.toFixed(6)))).toEqual([0, 0.2, 0.4, 0.6, 0.8, 1])
    expect(xOf(0.5, frame)).toBeCloseTo(50, 9)
  })
})

describe('a drawn track', () => {
  const strokes = (path: string): number => path.split('M').length - 1

  it('is one line while readings follow each other', () => {
    expect(strokes(plot(readingsOf([0, 1, 2, 1, 0])).path)).toBe(1)
  })

  it('breaks where a reading is declined, off the scale, or too long in coming', () => {
    const declined = plot(readingsOf([0, 1, null, 1, 0]))
    expect(strokes(declined.path)).toBe(2)
    expect(declined.declined).toHaveLength(1)
    const away = plot(readingsOf([0, 1, -1200, 1, 0]))
    expect(strokes(away.path)).toBe(2)
    expect(away.declined).toHaveLength(0)
    expect(strokes(plot(readingsOf([0, 1, 0], 0.1)).path)).toBe(3)
  })

  it('tells the side on which readings left the scale', () => {
    expect(plot(readingsOf([-1200])).arrows).toEqual([{ x: expect.closeTo(100, 6), up: false }])
    expect(plot(readingsOf([700])).arrows[0]?.up).toBe(true)
  })

  it('keeps its marks apart, and gives each a whisker of two spreads', () => {
    const { marks, whiskers } = plot(
      readingsOf(
        Array.from({ length: 60 }, () => 3),
        0.005,
      ),
    )
    const gaps = marks.slice(1).map(({ x }, i) => x - (marks[i]?.x ?? 0))
    // One mark in each 14 px; readings are 2.5 px apart, so two marks are at least 14 - 2.5 px from each other.
    expect(Math.min(...gaps)).toBeGreaterThan(11.4)
    expect(whiskers[0]?.top).toBeCloseTo(yOf(4, frame), 6)
    expect(whiskers[0]?.bottom).toBeCloseTo(yOf(2, frame), 6)
  })
})

describe('words of claims', () => {
  const settings = { spanCents: 6, holdS: 0.25, tolCents: 5 }
  const track = (id: string, cents: number): Track =>
    ({
      method: { id, values: {} },
      readings: readingsOf(Array.from({ length: 40 }, () => cents)),
      twin: [],
      score: { claim: 'true', claimCents: cents, lockS: 0.35 },
    }) as unknown as Track

  it('never lie over each other; what has no room is left to the table', () => {
    const tracks = ['yin', 'mpm', 'acf', 'pitchy'].map((id) => track(id, 1))
    const marks = claimMarks(tracks, frame, sampleRateHz, 100, settings)
    expect(marks.map(({ label }) => label?.y ?? null)).toEqual([25, 43, null, null])
    expect(marks[0]?.label?.text).toBe('yin claims +1.0 c: true, 0.35 s')
  })

  it('stand below for flat claims', () => {
    const [mark] = claimMarks([track('yin', -4)], frame, sampleRateHz, 100, settings)
    expect(mark?.label?.above).toBe(false)
  })
})

describe('a fading partial', () => {
  const partial = { k: 1, frequencyHz: 100, amplitude: 0.5, decayPerS: 5, lateDecayPerS: 1 }

  it('falls by its first slope up to 0.4 s and by its second from there on', () => {
    expect(amplitudeAt(partial, 0.2)).toBeCloseTo(0.5 * Math.exp(-1), 12)
    expect(amplitudeAt(partial, 1.4)).toBeCloseTo(0.5 * Math.exp(-2 - 1), 12)
    expect(amplitudeAt(partial, -0.1)).toBeNaN()
  })
})

describe('ratios by partial', () => {
  const levels = { inBandDb: [12, Number.NaN, 3] } as unknown as Levels
  const truth = { onsetS: 0.5, settledHz: 100, track: [] }
  const one = (k: number, frequencyHz: number) => ({ k, frequencyHz, amplitude: 0.1, decayPerS: 0 })

  it('stand at the partials that the string has, both polarisations once', () => {
    const partials = [one(1, 100), { ...one(1, 100.1), polarisation: 2 as const }, one(3, 301)]
    expect(partialRatios(partials, truth, levels)).toEqual([
      { k: 1, hz: 100, ratioDb: 12 },
      { k: 3, hz: 301, ratioDb: 3 },
    ])
  })

  it('stand at whole multiples of the pitch for a recorded string', () => {
    expect(partialRatios([], truth, levels).map(({ hz }) => hz)).toEqual([100, 200, 300])
  })
})

describe('the spectrogram', () => {
  it('is brightest at the frequency that sounds, and spans what was asked', () => {
    const samples = Float32Array.from(
      { length: sampleRateHz },
      (_, i) => Math.sin((2 * Math.PI * 440 * i) / sampleRateHz) + 1e-3 * Math.sin(i * i),
    )
    const { columns, rows, levels, topHz, fromS, toS } = spectrogramOf(
      samples,
      sampleRateHz,
      { fromS: 0.1, toS: 0.9 },
      110,
      1200,
    )
    expect([fromS, toS]).toEqual([0.1, 0.9])
    expect(levels).toHaveLength(columns * rows)
    const binHz = topHz / (rows - 1)
    for (const column of [0, columns >> 1, columns - 1]) {
      const one = levels.slice(column * rows, (column + 1) * rows)
      expect(one.indexOf(Math.max(...one))).toBe(Math.round(440 / binHz))
      expect(one[Math.round(900 / binHz)]).toBeLessThan(80)
    }
  })
})
