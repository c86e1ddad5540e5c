/** What a period follower is said to have weighed holds what it really took, on takes with and without noise. */
import { describe, expect, it } from 'vitest'
import { fill } from '../../src/core/fields.ts'
import { centsBetween } from '../../src/core/maths/units.ts'
import { methodById } from '../../src/core/methods/index.ts'
import { listen } from '../../src/core/methods/listen.ts'
import type { Stream } from '../../src/core/methods/method.ts'
import { foremost, takenOf, weighedBy, weighingMethods } from '../../src/core/study/candidates.ts'
import { standardTake } from '../../src/core/study/timing.ts'

const stream: Stream = { sampleRateHz: 48000, lowestHz: 30, highestHz: 1400, targetHz: null, room: null }
const take = standardTake()
const tone = Float32Array.from({ length: 4096 }, (_, i) => Math.sin((2 * Math.PI * 220 * i) / 48000))

describe.each([...weighingMethods])('what %s weighed', (id) => {
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

it('says nothing of methods it does not know', () => {
  expect(weighedBy('pitchy', tone, stream, { window: 4096 })).toBeNull()
})
