import { describe, expect, it } from 'vitest'
import {
  amplitudeRatioFromDb,
  centsBetween,
  dbFromAmplitudeRatio,
  dbFromPowerRatio,
  hzFromCents,
  hzFromMidi,
  hzFromNote,
  midiFromHz,
  noteName,
  powerRatioFromDb,
} from '../../src/core/maths/units.ts'

describe('cents', () => {
  it('an octave is 1200 up and -1200 down', () => {
    expect(centsBetween(220, 110)).toBe(1200)
    expect(centsBetween(55, 110)).toBe(-1200)
    expect(hzFromCents(1200, 110)).toBe(220)
  })

  it('there and back', () => {
    for (const cents of [-150, -0.01, 0, 0.001, 5, 1199]) {
      // A frequency ratio near 1 carries cents to 1200 / ln 2 * epsilon = 4e-13.
      expect(Math.abs(centsBetween(hzFromCents(cents, 82.4), 82.4) - cents)).toBeLessThan(2e-12)
    }
  })

  it('no value stays no value', () => {
    expect(centsBetween(Number.NaN, 110)).toBeNaN()
    expect(centsBetween(-1, 110)).toBeNaN()
  })
})

describe('decibels', () => {
  it('power and amplitude differ by two', () => {
    expect(powerRatioFromDb(20)).toBe(100)
    expect(amplitudeRatioFromDb(20)).toBe(10)
    expect(powerRatioFromDb(0)).toBe(1)
    expect(dbFromPowerRatio(0.01)).toBe(-20)
    expect(dbFromAmplitudeRatio(0.01)).toBe(-40)
    expect(dbFromAmplitudeRatio(-10)).toBe(20)
    expect(dbFromPowerRatio(0)).toBe(Number.NEGATIVE_INFINITY)
  })
})

describe('notes', () => {
  it('A4 is exact and the reference moves all', () => {
    expect(hzFromMidi(69)).toBe(440)
    expect(hzFromMidi(57, 442)).toBe(221)
    expect(midiFromHz(442, 442)).toBe(69)
  })

  it('takes the nearest name', () => {
    expect(noteName(hzFromCents(49, 110))).toBe('A2')
    expect(noteName(hzFromCents(51, 110))).toBe('A#2')
    expect(noteName(hzFromCents(-51, 110))).toBe('G#2')
    expect(noteName(8)).toBe('C-1')
  })

  it('names nothing for no frequency', () => {
    for (const hz of [0, -3, Number.NaN, Number.POSITIVE_INFINITY]) expect(noteName(hz)).toBe('')
  })

  it('reads sharps and flats as the same key', () => {
    expect(hzFromNote('Bb1')).toBe(hzFromNote('A#1'))
    expect(hzFromNote('Cb4')).toBe(hzFromNote('B3'))
    expect(hzFromNote('B#3')).toBe(hzFromNote('C4'))
  })

  it('every key name comes back', () => {
    for (let midi = 0; midi < 128; midi++) {
      const hz = hzFromMidi(midi)
      expect(hzFromNote(noteName(hz))).toBe(hz)
    }
  })

  it('refuses what is no name', () => {
    for (const name of ['', 'H2', 'E', '2', 'e2', 'E2x', 'E#b2', 'E2.5']) expect(hzFromNote(name)).toBeNaN()
  })
})
