/** Levels against arithmetic: a sine of peak a has the mean square a^2/2. */
import { expect, it } from 'vitest'
import { LevelMeter } from '../../src/core/room/levelmeter.ts'

it.each([0, -6, -40])('reads a sine of %d dB in peak and in power', (db) => {
  const meter = new LevelMeter(48_000)
  for (let i = 0; i < 3 * 48_000; i++) meter.push(10 ** (db / 20) * Math.sin((2 * Math.PI * 1000 * i) / 48_000))
  expect(meter.peakDb).toBeCloseTo(db, 3)
  // After ten time constants 0.0002 dB are missing; the ripple at 2 kHz is 1 / (2 * 0.3 s * 2 pi 1 kHz): 0.001 dB.
  expect(Math.abs(meter.rmsDb - db)).toBeLessThan(0.003)
  expect(meter.overloaded).toBe(db === 0)
})

it('holds an overload until it is reset', () => {
  const meter = new LevelMeter(48_000)
  meter.push(-1)
  for (let i = 0; i < 48_000; i++) meter.push(0)
  expect(meter).toMatchObject({ overloaded: true, peakDb: 0 })
  meter.reset()
  expect(meter).toMatchObject({ overloaded: false, peakDb: Number.NEGATIVE_INFINITY })
})
