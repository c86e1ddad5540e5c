import { describe, expect, it } from 'vitest'
import { centsBetween, hzFromMidi, hzFromNote, midiFromHz, noteName } from '../../src/core/maths/units.ts'

describe('equal temperament', () => {
  // librosa 0.10 documentation, examples of midi_to_hz and hz_to_midi, printed to three digits.
  it.each([
    [36, 65.406],
    [40, 82.407],
    [45, 110],
    [47, 123.471],
  ])('MIDI note %i is %f Hz', (midi, hz) => {
    expect(Math.abs(hzFromMidi(midi) - hz)).toBeLessThan(0.0005)
  })

  it('60 Hz is MIDI 34.506', () => {
    expect(Math.abs(midiFromHz(60) - 34.506)).toBeLessThan(0.0005)
  })

  // Equal temperament at A4 = 440 Hz (ISO 16:1975), computed; the guitar row is printed in the open-source string tables
  // of lucabaldini/metalute, docs/tables/gauge_extra_super_light.rst.
  it.each([
    ['E2', 82.407],
    ['A2', 110],
    ['D3', 146.832],
    ['G3', 195.998],
    ['B3', 246.942],
    ['E4', 329.628],
    ['E1', 41.203],
    ['A1', 55],
    ['D2', 73.416],
    ['G2', 97.999],
    ['B0', 30.868],
    ['D4', 293.665],
    ['A4', 440],
    ['E5', 659.255],
    ['G4', 391.995],
    ['C4', 261.626],
  ])('open string %s is %f Hz, and the other way round', (note, hz) => {
    expect(Math.abs(hzFromNote(note) - hz)).toBeLessThan(0.0005)
    expect(noteName(hz)).toBe(note)
  })

  // ASA/ANSI S1.1, term 3.05 (frequency level): the octaves are counted from 16.352 Hz, which is C0.
  it('C0 is 16.352 Hz', () => {
    expect(Math.abs(hzFromNote('C0') - 16.352)).toBeLessThan(0.0005)
  })
})

describe('cents', () => {
  // Italian law of 3 May 1989, article 3: 440 Hz within half a hertz; that is +1.966 and -1.968 cents (computed).
  it('half a hertz at 440 Hz', () => {
    expect(Math.abs(centsBetween(440.5, 440) - 1.966)).toBeLessThan(0.0005)
    expect(Math.abs(centsBetween(439.5, 440) + 1.968)).toBeLessThan(0.0005)
  })

  // Ellis 1885: the just fifth 3/2 is 702 cents, the just major third 5/4 is 386 (to whole cents; from memory, and by the formula).
  it('just intervals', () => {
    expect(Math.round(centsBetween(3, 2))).toBe(702)
    expect(Math.round(centsBetween(5, 4))).toBe(386)
  })
})
