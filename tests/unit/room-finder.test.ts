/** Find the string: right, or silent; never another string, never an octave. */
import { describe, expect, it } from 'vitest'
import { randomStream } from '../../src/core/maths/random.ts'
import { centsBetween } from '../../src/core/maths/units.ts'
import { Problem } from '../../src/core/problem.ts'
import { isFull, isUpperOf } from '../../src/core/room/combevidence.ts'
import { type NoiseFigures, noiseFigures } from '../../src/core/room/noisetake.ts'
import { type FinderReading, findString, StringFinder } from '../../src/core/room/stringfinder.ts'
import { bass, guitar, type MadeTake, makeTake, roomNoise, roomStrings } from './roomtakes.ts'

const rateHz = 16000
const roomOf = ({ noise }: MadeTake, ids: readonly string[]): NoiseFigures =>
  noiseFigures(noise, rateHz, roomStrings(ids))

describe('find the string', () => {
  it('calls the plucked string or none, off by up to 150 c, in white, pink and stage noise at 0 to 20 dB', () => {
    let [right, none] = [0, 0]
    for (const ids of [guitar, bass]) {
      for (const [i, id] of [...ids, ...ids].entries()) {
        const room = ['white', 'pink', 'stage'][i % 3] ?? ''
        const cents = 300 * (randomStream(91, id, i).uniform() - 0.5)
        const made = makeTake({
          ...{ string: id, room, cents, seed: 91, repeat: i, rateHz },
          snrDb: (i % 3) * 10,
          takeS: 2,
        })
        const found = findString(made.samples, rateHz, roomStrings(ids), roomOf(made, ids))
        if (found.id === null) none++
        else {
          expect(found.id).toBe(id)
          const trueCents = centsBetween(made.f1Hz, roomStrings([id])[0]?.targetHz ?? 0)
          expect(Math.abs(found.cents - trueCents)).toBeLessThan(8)
          right++
        }
      }
    }
    // 20 plucks; over 9 in 10 are called (room.md of tests/bench): four or more silent ones come once in a hundred.
    expect(right + none).toBe(20)
    expect(none).toBeLessThan(4)
  })

  it('calls nothing for an octave of a string, up or down, nor for a fret between', () => {
    const heard: string[] = []
    for (const [id, cents] of [
      ...(['E2', 'D3', 'B3'] as const).map((id) => [id, 1200] as const),
      ...(['A2', 'B3', 'E4'] as const).map((id) => [id, -1200] as const),
      ['E2', 300] as const,
      ['A2', 250] as const,
    ]) {
      const made = makeTake({ string: id, room: 'white', snrDb: 15, cents, seed: 92, rateHz, takeS: 1.6 })
      const found = findString(made.samples, rateHz, roomStrings(guitar), roomOf(made, guitar))
      if (found.id === null) continue
      const called = roomStrings([found.id])[0]?.targetHz ?? 0
      heard.push(`${id} ${cents}: ${found.id}, ${centsBetween(made.f1Hz, called).toFixed(0)} c off`)
    }
    // E2 an octave up lies 200 c over D3, B3 an octave down 200 c over A2: beyond what is searched.
    expect(heard).toEqual([])
  })

  it('calls nothing where no string sounds, nor where two do', () => {
    for (const room of ['white', 'pink', 'stage', 'encore']) {
      const all = Float32Array.from(roomNoise(room, 7, rateHz, 93), (value) => 0.01 * value)
      const noise = noiseFigures(all.subarray(0, 4 * rateHz), rateHz, roomStrings(guitar))
      expect(findString(all.subarray(4 * rateHz), rateHz, roomStrings(guitar), noise).id).toBeNull()
    }
    const one = makeTake({ string: 'A2', room: 'white', snrDb: 20, seed: 94, rateHz, takeS: 1.6 })
    const two = makeTake({ string: 'B3', room: 'white', snrDb: 20, seed: 94, rateHz, takeS: 1.6 })
    const both = one.samples.map((sample, i) => sample + (two.clean[i] ?? 0))
    expect(findString(both, rateHz, roomStrings(guitar), roomOf(one, guitar)).id).toBeNull()
  })

  it('answers the same however the stream is cut, and times its answers by the newest sample', () => {
    const made = makeTake({ string: 'D3', room: 'white', snrDb: 20, seed: 95, rateHz, takeS: 1.6 })
    const heardIn = (block: number): FinderReading[] => {
      const readings: FinderReading[] = []
      const finder = new StringFinder(rateHz, roomStrings(guitar), roomOf(made, guitar))
      for (let at = 0; at < made.samples.length; at += block) {
        finder.push(made.samples.subarray(at, at + block), (reading) => readings.push(reading))
      }
      return readings
    }
    const whole = heardIn(made.samples.length)
    expect(whole.length).toBeGreaterThan(8)
    expect(heardIn(128)).toEqual(whole)
    expect(heardIn(1237)).toEqual(whole)
    for (const [i, { atS }] of whole.entries()) if (i > 0) expect(atS).toBeGreaterThan(whole[i - 1]?.atS ?? 0)
    const first = whole.find(({ id }) => id !== null)
    // A window of 0.34 s and three hops of 85 ms after the pluck at 0.5 s, and as much of the window again as noise may fill.
    expect(first?.atS).toBeLessThan(0.5 + 0.34 + 4 * 0.085)
  })

  it('keeps silent on silence and broken samples, and refuses a set that cannot be heard', () => {
    expect(findString(new Float32Array(rateHz), rateHz, roomStrings(guitar), null).id).toBeNull()
    expect(findString(new Float32Array(rateHz).fill(Number.NaN), rateHz, roomStrings(guitar), null).id).toBeNull()
    expect(() => new StringFinder(rateHz, [], null)).toThrow(Problem)
    expect(() => new StringFinder(rateHz, [{ id: 'x', title: 'x', targetHz: 9, stiffness: 0 }], null)).toThrow(
      'is not between 20 and 3200 Hz',
    )
  })
})

describe('evidence of a comb', () => {
  /** Partials of 100 Hz, each at the same power. */
  const at =
    (f0Hz: number, power = 1) =>
    (hz: number) => {
      const isPartial = Math.abs(hz / f0Hz - Math.round(hz / f0Hz)) < 0.01 && hz > f0Hz / 2
      return isPartial ? { over: 100 * power, power } : { over: 1, power: 0.01 }
    }

  it('sees a lower string between the places of an upper one', () => {
    for (const times of [2, 3, 4]) expect(isUpperOf(times * 100, at(100))).toBe(true)
    expect(isUpperOf(100, at(100))).toBe(false)
    // One tone of the room between the places is no string.
    expect(isUpperOf(200, (hz) => (hz === 100 ? { over: 100, power: 1 } : at(200)(hz)))).toBe(false)
  })

  it('wants a comb filled at odd places and not at every third only', () => {
    const worth = (places: readonly number[]): Float64Array =>
      Float64Array.from({ length: 10 }, (_, i) => (places.includes(i + 1) ? 3 : 0))
    expect(isFull(worth([1, 2, 3, 4, 5, 6, 7, 8, 9, 10]), 10, 4)).toBe(true)
    expect(isFull(worth([1, 3, 5, 7, 9]), 10, 4)).toBe(true)
    expect(isFull(worth([2, 4, 6, 8, 10]), 10, 4)).toBe(false)
    expect(isFull(worth([3, 6, 9]), 10, 3)).toBe(false)
    expect(isFull(worth([1, 2, 3]), 10, 4)).toBe(false)
  })
})
