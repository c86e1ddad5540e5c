/**
 * The room's figures on the 21 recorded notes, in white noise, against what outside programs and a long measurement read on
 * the original files (signals/recordings/README.md): strings found, pitch, stiffness, onset.
 */
import { readFileSync } from 'node:fs'
import { describe, expect, it } from 'vitest'
import index from '../../signals/recordings/index.json'
import { randomStream } from '../../src/core/maths/random.ts'
import { centsBetween, hzFromNote } from '../../src/core/maths/units.ts'
import { noiseFigures } from '../../src/core/room/noisetake.ts'
import type { RoomString } from '../../src/core/room/roomstring.ts'
import { findString } from '../../src/core/room/stringfinder.ts'
import { stringFigures } from '../../src/core/room/stringtake.ts'
import { readWav } from '../../src/core/scene/wav.ts'

const folder = new URL('../../signals/recordings/', import.meta.url)
/** The notes' own pitches; each set's strings lie a whole tone or more apart, so that none is another's 150 c. */
const sets: Readonly<Record<string, readonly string[]>> = {
  acoustic: ['E2', 'A2', 'D3', 'G3', 'B3', 'E4'],
  electric: ['E2', 'A2', 'D3', 'G3', 'B3', 'E4'],
  bass: ['E1', 'A1', 'D2', 'G2'],
}
const snrDb = 20

const setOf = (instrument: string): RoomString[] =>
  (sets[instrument] ?? []).map((id) => ({ id, title: id, targetHz: hzFromNote(id), stiffness: 0 }))

const notes = index.recordings.flatMap(({ id, file, kind, onsetS, f1Hz, instrument, stiffnessB, note }) => {
  if (kind !== 'string' || onsetS === null || f1Hz === null || instrument === null || note === null) return []
  const { channels, sampleRateHz } = readWav(new Uint8Array(readFileSync(new URL(file, folder))), file)
  const clean = channels[0] as Float32Array
  const first = clean.subarray(Math.round(onsetS * sampleRateHz), Math.round((onsetS + 1) * sampleRateHz))
  const power = first.reduce((sum, value) => sum + value * value, 0) / first.length
  const sigma = Math.sqrt(power / 10 ** (snrDb / 10))
  const random = randomStream(2, 'room recordings', id)
  const samples = clean.map((value) => value + sigma * random.gaussian())
  const noise = Float32Array.from({ length: 2 * sampleRateHz }, () => sigma * random.gaussian())
  const strings = setOf(instrument)
  const figures = noiseFigures(noise, sampleRateHz, strings)
  const own = { id: note, title: note, targetHz: f1Hz, stiffness: 0 }
  return [
    {
      ...{ id, strings, f1Hz, onsetS, stiffnessB },
      found: findString(samples, sampleRateHz, strings, figures),
      told: stringFigures(samples, sampleRateHz, own, figures),
    },
  ]
})

describe('recorded notes in white noise at 20 dB', () => {
  it('are all there', () => {
    expect(notes).toHaveLength(21)
  })

  it('are called by their string where one is within 150 c, and never by another or an octave off', () => {
    let [called, callable] = [0, 0]
    for (const { id, strings, f1Hz, found } of notes) {
      const near = strings.find(({ targetHz }) => Math.abs(centsBetween(f1Hz, targetHz)) < 140)
      if (near !== undefined) callable++
      if (found.id === null) continue
      called++
      expect(`${id} ${found.id}`).toBe(`${id} ${near?.id}`)
      // What a recorded string's pitch is known to, and the search's own few cents.
      expect(Math.abs(found.cents - centsBetween(f1Hz, near?.targetHz ?? 0))).toBeLessThan(8)
    }
    expect(callable).toBeGreaterThanOrEqual(13)
    expect(called).toBeGreaterThanOrEqual(callable - 2)
  })

  it('give onset, ratio, pitch and stiffness', () => {
    const near = { f1: 0, stiffness: 0 }
    let stiff = 0
    for (const { told, onsetS, f1Hz, stiffnessB } of notes) {
      expect(Math.abs((told.onsetS ?? 99) - onsetS)).toBeLessThan(0.01)
      expect(Math.abs((told.ratioDb ?? 99) - snrDb)).toBeLessThan(1)
      // Not better known than a cent or two (same source), and the noise is 20 dB under the whole string.
      if (Math.abs(centsBetween(told.f1Hz ?? 1, f1Hz)) < 2.5) near.f1++
      if (told.stiffness === null || told.stiffnessSpread === null || stiffnessB === null) continue
      stiff++
      // Nine partials or so are over the noise, the outside fit had thirty: bodies bend the lowest by more than their errors.
      if (Math.abs(told.stiffness - stiffnessB) < 3 * told.stiffnessSpread + 0.1 * stiffnessB) near.stiffness++
    }
    expect(near.f1).toBeGreaterThanOrEqual(20)
    expect(stiff).toBeGreaterThanOrEqual(8)
    expect(near.stiffness).toBeGreaterThanOrEqual(stiff - 1)
  })
})
