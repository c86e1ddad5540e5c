/** Figures of a pluck in a room, on rendered takes whose ratio, onset, pitch and stiffness are known. */
import { describe, expect, it } from 'vitest'
import { centsBetween } from '../../src/core/maths/units.ts'
import { noiseFigures } from '../../src/core/room/noisetake.ts'
import { partialStandings } from '../../src/core/room/partialstanding.ts'
import { summariseString } from '../../src/core/room/stringsummary.ts'
import { type StringFigures, stringFigures } from '../../src/core/room/stringtake.ts'
import { guitar, type MadeTake, makeTake, roomStrings, type TakeWish } from './roomtakes.ts'

const strings = roomStrings(guitar)
const blind = strings.map((string) => ({ ...string, stiffness: 0 }))
/** Nobody has told how stiff the strings are. */
const stringOf = (id: string) =>
  blind.find((string) => string.id === id) ?? { id, title: id, targetHz: 110, stiffness: 0 }

function figuresOf(wish: TakeWish): { made: MadeTake; figures: StringFigures } {
  const made = makeTake({ rateHz: 24000, noiseS: 4, ...wish })
  const noise = noiseFigures(made.noise, made.rateHz, blind)
  return { made, figures: stringFigures(made.samples, made.rateHz, stringOf(wish.string), noise) }
}

describe('string figures', () => {
  it('give ratio, onset, pitch and stiffness at 20 dB', () => {
    let stiff = 0
    for (const [i, string] of guitar.entries()) {
      const { made, figures } = figuresOf({ string, room: 'white', snrDb: 20, cents: 40 - 15 * i, seed: 5 })
      expect(Math.abs((figures.ratioDb ?? 99) - 20)).toBeLessThan(1)
      expect(Math.abs((figures.onsetS ?? 99) - made.onsetS)).toBeLessThan(0.01)
      expect(Math.abs(centsBetween(figures.f1Hz ?? 1, made.f1Hz))).toBeLessThan(1)
      expect(figures.offCents).toBeCloseTo(centsBetween(figures.f1Hz ?? 1, stringOf(string).targetHz), 9)
      if (figures.stiffness !== null) {
        expect(Math.abs(figures.stiffness / made.stiffness - 1)).toBeLessThan(0.2)
        stiff++
      }
      const first = made.partials.find(({ k }) => k === 1)
      expect(figures.decayS).not.toBeNull()
      // A second slope from 0.4 s on and the beat of two polarisations are in the take.
      expect(Math.abs((figures.decayS ?? 0) / (Math.log(1000) / (first?.decayPerS ?? 1)) - 1)).toBeLessThan(0.25)
      expect(figures.ringing).toEqual([])
    }
    // A first string has few partials under 12 kHz that stand 12 dB out.
    expect(stiff).toBeGreaterThanOrEqual(5)
  })

  it('give ratio and onset at 0 dB too', () => {
    for (const room of ['white', 'pink']) {
      for (const string of ['E2', 'B3']) {
        const { made, figures } = figuresOf({ string, room, snrDb: 0, seed: 6 })
        expect(Math.abs((figures.ratioDb ?? 99) - 0)).toBeLessThan(1)
        expect(Math.abs((figures.onsetS ?? 99) - made.onsetS)).toBeLessThan(0.01)
      }
    }
  })

  it('give ratios of moments and partials as the clean string over the room', () => {
    const { made, figures } = figuresOf({ string: 'A2', room: 'white', snrDb: 10, seed: 7, takeS: 3 })
    const noisePower = made.noise.reduce((sum, value) => sum + value * value, 0) / made.noise.length
    for (const [i, atS] of [0.2, 0.5, 1, 2].entries()) {
      const [from, to] = [made.onsetS + atS - 0.05, made.onsetS + atS + 0.05].map((s) => Math.round(s * made.rateHz))
      const part = made.clean.subarray(from, to)
      const power = part.reduce((sum, value) => sum + value * value, 0) / part.length
      const trueDb = 10 * Math.log10(power / noisePower)
      const told = figures.ratioAtDb[i] ?? null
      // 2400 samples of noise swing by 3 %: where the string is at or over the room that is under half a dB.
      if (trueDb > -3) expect(Math.abs((told ?? 99) - trueDb)).toBeLessThan(1)
    }
    const density = noisePower / (made.rateHz / 2)
    const edge = 2 ** (50 / 1200)
    for (const partial of figures.partials.slice(0, 6)) {
      const own = made.partials.filter(({ k }) => k === partial.k)
      // Mean square over the first second of a decaying sine, each polarisation by itself.
      const power = own.reduce(
        (sum, { amplitude, decayPerS }) =>
          sum + (amplitude ** 2 / 2) * ((1 - Math.exp(-2 * decayPerS)) / (2 * decayPerS)),
        0,
      )
      const hz = own[0]?.frequencyHz ?? 0
      const trueDb = 10 * Math.log10(power / (density * hz * (edge - 1 / edge)))
      // The room's own power in a band of 6 Hz is known to 1 dB from 4 s; late slopes and beats are not in the reckoning.
      expect(Math.abs((partial.ratioDb ?? 99) - trueDb)).toBeLessThan(2.5)
    }
  })

  it('say what cannot be measured, and why', () => {
    const { noise, rateHz, samples } = makeTake({ string: 'D3', room: 'white', snrDb: 20, seed: 8, rateHz: 24000 })
    const room = noiseFigures(noise, rateHz, blind)
    const silent = stringFigures(new Float32Array(2 * rateHz), rateHz, stringOf('D3'), room)
    expect(silent).toMatchObject({ onsetS: null, f1Hz: null, ratioDb: null, partials: [], ringing: [] })
    expect(silent.missing.f1Hz).toMatch(/No string was heard/)
    const unplucked = stringFigures(noise.subarray(0, 2 * rateHz), rateHz, stringOf('D3'), room)
    expect(unplucked.f1Hz).toBeNull()
    const ringing = stringFigures(samples.subarray(Math.round(0.7 * rateHz)), rateHz, stringOf('D3'), room)
    expect(ringing.ratioDb).toBeNull()
    expect(ringing.missing.ratioDb).toMatch(/none was heard to begin/)
    expect(ringing.f1Hz).not.toBeNull()
    const wrong = stringFigures(samples, rateHz, stringOf('E2'), room)
    expect(wrong.f1Hz).toBeNull()
    const broken = samples.map((sample, i) => (i % 4000 === 17 ? Number.NaN : sample))
    expect(() => stringFigures(broken, rateHz, stringOf('D3'), room)).not.toThrow()
    expect(stringFigures(samples.subarray(0, 100), rateHz, stringOf('D3'), room).f1Hz).toBeNull()
  })

  it('tell a weak partial, and a string that rings before and along', () => {
    const weak = figuresOf({ string: 'A2', room: 'white', snrDb: 20, seed: 9, pluck: { pickRatio: 0.25 } })
    // Picked at a quarter, partials 4 and 8 are not excited.
    for (const k of [4, 8]) {
      expect(weak.figures.partials.find((partial) => partial.k === k)?.standing).toMatch(/weak|missing/)
    }
    expect(weak.figures.partials.filter(({ standing }) => standing === 'missing' || standing === 'weak')).toHaveLength(
      2,
    )
    const { made } = weak
    const other = makeTake({
      string: 'G3',
      room: 'white',
      snrDb: 20,
      seed: 10,
      rateHz: made.rateHz,
      takeS: 4,
      onsetS: 0.1,
    })
    const room = noiseFigures(made.noise, made.rateHz, blind)
    const late = Math.round(0.7 * made.rateHz)
    const both = made.samples.map((sample, i) => sample + 0.4 * (other.clean[i + late] ?? 0))
    const { ringing, f1Hz } = stringFigures(both, made.rateHz, stringOf('A2'), room)
    expect(ringing.map(({ string, when }) => `${string} ${when}`)).toEqual(['G3 before', 'G3 while'])
    for (const { cents } of ringing) expect(Math.abs(cents)).toBeLessThan(15)
    expect(Math.abs(centsBetween(f1Hz ?? 1, made.f1Hz))).toBeLessThan(1)
  })
})

describe('partial standings', () => {
  it('compare with the median of two neighbours to either side', () => {
    const levels = [0, -3, -21, -9, -12, null, -18]
    const told = partialStandings(
      levels,
      levels.map(() => -40),
    )
    expect(told.map(({ standing }) => standing)).toEqual([
      ...['as-expected', 'as-expected', 'weak', 'as-expected', 'as-expected', 'missing', 'as-expected'],
    ])
    // Neighbours of the third: 0, -3, -9, -12; their median is -6.
    expect(told[2]?.underNeighboursDb).toBe(15)
    expect(partialStandings([0, -3, null, -9], [-40, -40, -10, -40])[2]?.standing).toBe('unheard')
  })
})

describe('several plucks', () => {
  it('give means with intervals, and no interval for one', () => {
    const plucks = [1, 2, 3].map((seed) => figuresOf({ string: 'E4', room: 'white', snrDb: 12, seed }).figures)
    const summary = summariseString(plucks, 1)
    expect(summary.plucks).toBe(3)
    expect(summary.ratioDb.n).toBe(3)
    expect(summary.ratioDb.low).toBeLessThanOrEqual(summary.ratioDb.value)
    expect(summary.ratioDb.high).toBeGreaterThanOrEqual(summary.ratioDb.value)
    expect(Math.abs(summary.ratioDb.value - 12)).toBeLessThan(1)
    expect(summary.partialRatioDb).toHaveLength(10)
    const one = summariseString(plucks.slice(0, 1), 1)
    expect(one.f1Hz.value).toBe(plucks[0]?.f1Hz)
    expect(one.f1Hz.low).toBeNaN()
  })
})
