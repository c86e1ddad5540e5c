/** What a method is said to have weighed holds what it really took, on takes with and without noise. */
import { describe, expect, it } from 'vitest'
import { fill } from '../../src/core/fields.ts'
import { centsBetween } from '../../src/core/maths/units.ts'
import { methodById } from '../../src/core/methods/index.ts'
import { listen } from '../../src/core/methods/listen.ts'
import type { Reading, Stream } from '../../src/core/methods/method.ts'
import { foremost, takenOf, weighedAt, weighedBy, weighingMethods } from '../../src/core/study/candidates.ts'
import { standardTake } from '../../src/core/study/timing.ts'

const stream: Stream = { sampleRateHz: 48000, lowestHz: 30, highestHz: 1400, targetHz: null, room: null }
const take = standardTake()
const tone = Float32Array.from({ length: 4096 }, (_, i) => Math.sin((2 * Math.PI * 220 * i) / 48000))

const ofFamily = (family: 'blind' | 'aimed'): string[] =>
  weighingMethods.filter((id) => methodById(id).family === family)

describe.each(ofFamily('blind'))('what %s weighed', (id) => {
  const method = methodById(id)
  const values = fill(method.fields, {})

  it('holds what it took, in every frame with an answer', () => {
    const readings = listen(method, take, stream)
    const answered = readings.filter(({ f0Hz }) => f0Hz > 0)
    // Nearly all of the take's frames, but for those of methods that want to be sure.
    expect(answered.length).toBeGreaterThan(80)
    for (const { fromSample, toSample, f0Hz } of answered) {
      const weighed = weighedBy(id, take.subarray(fromSample, toSample), stream, values)
      if (weighed === null) throw new Error('it is known here')
      const taken = takenOf(weighed, f0Hz)
      expect(taken, `at ${fromSample}`).toBeDefined()
      expect(foremost(weighed, f0Hz)).toContain(taken)
      // It reads the peaks of the harmonics of what it took; the others answer what they took.
      if (id !== 'harmonic-sum') expect(Math.abs(centsBetween(taken?.hz ?? Number.NaN, f0Hz))).toBeLessThan(0.01)
    }
  })

  it('are a tone and the parts of it, the tone as good as any', () => {
    const weighed = weighedBy(id, tone, stream, values)
    const shown = weighed === null ? [] : foremost(weighed, 220)
    expect(shown.length).toBeGreaterThan(2)
    // Products of a pure tone stand for nothing: every pitch lacks all harmonics but one.
    const fine = weighed?.score === 'sum' ? 6 : 0.1
    if (id !== 'hps') expect(shown.some(({ hz }) => Math.abs(centsBetween(hz, 220)) < fine)).toBe(true)
    // What follows periods finds whole parts of the tone exactly; sums are as fine as half their steps, 12 c at most.
    if (weighed?.score === 'sum') return
    for (const { hz } of shown) expect(Math.abs(220 / hz - Math.round(220 / hz))).toBeLessThan(0.01)
  })

  it('is not guessed through a filter or from another length of sound', () => {
    expect(weighedBy(id, tone, stream, { ...values, lowPassHz: 1000 })).toBeNull()
    expect(weighedBy(id, tone.subarray(1), stream, values)).toBeNull()
  })
})

/**
 * A comb takes its string for one of three stiffnesses: half of the widest step, 7.5e-5, times a third of the slope of partial 10, 600 /
 * ln 2 * 99 c a unit.
 */
const stiffCents = (7.5e-5 * (600 / Math.LN2) * 99) / 3

describe.each(ofFamily('aimed'))('what %s weighed', (id) => {
  const method = methodById(id)
  const values = fill(method.fields, {})
  const aimed = { ...stream, targetHz: 110 }
  const readings = listen(method, take, aimed)
  const weighedBefore = (reading: Reading) => weighedAt(id, take, reading, aimed, values)

  it('holds the string it read, higher than any other pitch, all through the note', () => {
    // Every eighth: each is a listening from the start.
    const answered = readings.filter(({ f0Hz }) => f0Hz > 0).filter((_, i) => i % 8 === 0)
    expect(answered.length).toBeGreaterThan(10)
    for (const reading of answered) {
      const weighed = weighedBefore(reading)
      if (weighed === null) throw new Error('it is known here')
      const taken = takenOf(weighed, reading.f0Hz)
      // A step is two radians of the sixth partial over the span: 1200 / ln 2 * 2 / (2 pi 6 f T) cents; the answer lies between its
      // neighbours. The filter's reach counts into the evidence, so the span is a little shorter than that: 10 % at most.
      const spanS = (0.9 * (reading.toSample - reading.fromSample)) / stream.sampleRateHz
      const stepCents = (1200 / Math.LN2) * (2 / (2 * Math.PI * 6 * 110 * spanS))
      expect(Math.abs(centsBetween(taken?.hz ?? Number.NaN, reading.f0Hz))).toBeLessThan(stepCents + stiffCents)
      expect(foremost(weighed, reading.f0Hz)[0]).toBe(taken)
    }
  })

  it('is pitches about the note in hand, none of them taken where it declined', () => {
    for (const reading of readings.filter((_, i) => i % 16 === 15)) {
      const weighed = weighedBefore(reading)
      if (weighed === null) throw new Error('it is known here')
      expect(takenOf(weighed, reading.f0Hz) === undefined).toBe(Number.isNaN(reading.f0Hz))
      // What is searched reaches 150 c to either side.
      for (const { hz } of weighed.candidates) expect(Math.abs(centsBetween(hz, 110))).toBeLessThanOrEqual(150)
    }
  })

  it('leaves the later readings as they were', () => {
    const [asked, unasked] = [method.open(aimed, values), method.open(aimed, values)]
    const heard: number[][] = [[], []]
    for (let at = 0; at < take.length; at += 512) {
      asked.push(take.subarray(at, at + 512), ({ f0Hz }) => heard[0]?.push(f0Hz))
      unasked.push(take.subarray(at, at + 512), ({ f0Hz }) => heard[1]?.push(f0Hz))
      asked.weigh?.()
    }
    expect(heard[0]).toEqual(heard[1])
  })

  it('has no evidence of one frame alone', () => {
    expect(weighedBy(id, tone, aimed, values)).toBeNull()
  })
})

it('growing-fit has nothing to compare while it knows no noise', () => {
  const values = fill(methodById('growing-fit').fields, {})
  expect(
    weighedAt('growing-fit', take, { fromSample: 0, toSample: 512 }, { ...stream, targetHz: 110 }, values),
  ).toBeNull()
})

it('says nothing of methods it does not know', () => {
  expect(weighedBy('pitchy', tone, stream, { window: 4096 })).toBeNull()
})
