/** What a period follower is said to have weighed holds what it really took, on takes with and without noise. */
import { describe, expect, it } from 'vitest'
import { fill } from '../../src/core/fields.ts'
import { methodById } from '../../src/core/methods/index.ts'
import { listen } from '../../src/core/methods/listen.ts'
import type { Stream } from '../../src/core/methods/method.ts'
import { foremost, isTaken, weighedBy, weighingMethods } from '../../src/core/study/candidates.ts'
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
    expect(answered.length).toBeGreaterThan(100)
    for (const { fromSample, toSample, f0Hz } of answered) {
      const weighed = weighedBy(id, take.subarray(fromSample, toSample), stream, values)
      expect(
        weighed?.candidates.some(({ hz }) => isTaken(hz, f0Hz)),
        `at ${fromSample}`,
      ).toBe(true)
      if (weighed !== null) expect(foremost(weighed, f0Hz).some(({ hz }) => isTaken(hz, f0Hz))).toBe(true)
    }
  })

  it('are a tone and the parts of it, the tone as good as any', () => {
    const weighed = weighedBy(id, tone, stream, values)
    const shown = weighed === null ? [] : foremost(weighed, 220)
    expect(shown.length).toBeGreaterThan(2)
    for (const { hz } of shown) expect(Math.abs(220 / hz - Math.round(220 / hz))).toBeLessThan(0.01)
    expect(shown.some(({ hz }) => Math.abs(hz - 220) < 0.1)).toBe(true)
  })

  it('is not guessed through a filter or from another length of sound', () => {
    expect(weighedBy(id, tone, stream, { ...values, lowPassHz: 1000 })).toBeNull()
    expect(weighedBy(id, tone.subarray(1), stream, values)).toBeNull()
  })
})

it('says nothing of methods it does not know', () => {
  expect(weighedBy('pitchy', tone, stream, { window: 4096 })).toBeNull()
})
