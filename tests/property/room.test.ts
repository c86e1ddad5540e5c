/** What holds for the room's figures whatever they hear. */
import fc from 'fast-check'
import { describe, expect, it } from 'vitest'
import { randomStream } from '../../src/core/maths/random.ts'
import { lineFamilies } from '../../src/core/room/linefamilies.ts'
import { noiseFigures } from '../../src/core/room/noisetake.ts'
import { partialStandings } from '../../src/core/room/partialstanding.ts'
import { StringFinder } from '../../src/core/room/stringfinder.ts'
import { stringFigures } from '../../src/core/room/stringtake.ts'
import { stringVerdict } from '../../src/core/room/verdict.ts'
import { guitar, makeTake, roomStrings } from '../unit/roomtakes.ts'

const seed = 20261125
const strings = roomStrings(guitar)

/** Sounds of all kinds, broken samples among them. */
const sound = fc
  .record({
    seed: fc.nat(),
    rateHz: fc.constantFrom(8000, 11025, 16000),
    tones: fc.array(
      fc.record({
        hz: fc.double({ min: 30, max: 3000, noNaN: true }),
        from: fc.double({ min: 0, max: 1.5, noNaN: true }),
      }),
      {
        maxLength: 4,
      },
    ),
    level: fc.constantFrom(0, 1e-6, 0.01, 1, 1e6),
    broken: fc.constantFrom(Number.NaN, Number.POSITIVE_INFINITY, 0),
  })
  .map(({ seed: noiseSeed, rateHz, tones, level, broken }) => {
    const random = randomStream(noiseSeed, 'sound')
    const samples = Float32Array.from({ length: 2 * rateHz }, (_, i) => {
      const s = i / rateHz
      const sum = tones.reduce(
        (total, { hz, from }) => total + (s >= from ? Math.exp(from - s) * Math.sin(hz * 6.28 * s) : 0),
        0,
      )
      return level * (0.1 * random.gaussian() + sum)
    })
    samples[777] = broken
    return { samples, rateHz }
  })

const clean = ({ samples, rateHz }: { samples: Float32Array; rateHz: number }) => ({
  rateHz,
  samples: samples.map((value) => (Number.isFinite(value) ? value : 0)),
})

describe('room figures', () => {
  it('never throw for what is in the samples, and tell why whenever they tell nothing', () => {
    fc.assert(
      fc.property(sound, sound, (first, second) => {
        const noise = noiseFigures(clean(first).samples, first.rateHz, strings)
        for (const string of strings.slice(0, 2)) {
          const figures = stringFigures(second.samples, first.rateHz, string, noise)
          expect(figures.f1Hz === null).toBe(figures.missing.f1Hz !== undefined)
          expect(figures.onsetS === null).toBe(figures.missing.onsetS !== undefined)
          expect(figures.stiffness === null).toBe(figures.missing.stiffness !== undefined)
          expect(figures.ratioDb === null).toBe(figures.missing.ratioDb !== undefined)
          expect(stringVerdict(string, figures, noise).sentence).toMatch(/^E2: |^A2: /)
        }
      }),
      { seed, numRuns: 12 },
    )
  })

  it('do not hang on the level of the input', () => {
    const made = makeTake({ string: 'G3', room: 'white', snrDb: 12, seed: 5, rateHz: 16000, noiseS: 3, takeS: 2 })
    const told = [1, 1e-3, 30].map((gain) => {
      const noise = noiseFigures(
        made.noise.map((value) => gain * value),
        made.rateHz,
        strings,
      )
      return stringFigures(
        made.samples.map((value) => gain * value),
        made.rateHz,
        strings[3] ?? { id: '', title: '', targetHz: 196, stiffness: 0 },
        noise,
      )
    })
    for (const other of told) {
      // Rounding to float32 at another gain is 140 dB under the take.
      expect(other.ratioDb).toBeCloseTo(told[0]?.ratioDb ?? 0, 3)
      expect(other.f1Hz).toBeCloseTo(told[0]?.f1Hz ?? 0, 4)
      expect(other.onsetS).toBeCloseTo(told[0]?.onsetS ?? 0, 4)
    }
  })

  it('give families one entry a line, harmonics that fit, and never less than three to a series', () => {
    fc.assert(
      fc.property(fc.array(fc.double({ min: 20, max: 3000, noNaN: true }), { maxLength: 20 }), (lines) => {
        const families = lineFamilies(lines)
        expect(families).toHaveLength(lines.length)
        const bases = new Map<number, number>()
        for (const [i, family] of families.entries()) {
          if (family.kind === 'alone') continue
          // A line is within 0.1 Hz and 5 mHz a harmonic of the base it was tried at; the refined base moves by no more again.
          expect(Math.abs((lines[i] ?? 0) - family.harmonic * family.baseHz)).toBeLessThan(
            2 * (0.1 + 0.005 * family.harmonic) * family.harmonic,
          )
          if (family.kind === 'series') bases.set(family.baseHz, (bases.get(family.baseHz) ?? 0) + 1)
        }
        for (const members of bases.values()) expect(members).toBeGreaterThanOrEqual(3)
      }),
      { seed, numRuns: 200 },
    )
  })

  it('call no partial weak where all are alike', () => {
    fc.assert(
      fc.property(fc.array(fc.double({ min: -5, max: 5, noNaN: true }), { minLength: 5, maxLength: 12 }), (levels) => {
        // No median of values within 5 dB of 0 is 12 dB over one of them.
        for (const { standing } of partialStandings(
          levels,
          levels.map(() => -60),
        ))
          expect(standing).toBe('as-expected')
      }),
      { seed, numRuns: 100 },
    )
  })

  it('finder: never throws, times rise, no call without cents and confidence', () => {
    fc.assert(
      fc.property(sound, fc.integer({ min: 1, max: 5000 }), ({ samples, rateHz }, block) => {
        const finder = new StringFinder(rateHz, strings, null)
        let last = 0
        for (let at = 0; at < samples.length; at += block) {
          finder.push(samples.subarray(at, at + block), ({ atS, id, cents, confidence }) => {
            expect(atS).toBeGreaterThan(last)
            last = atS
            expect(Number.isNaN(cents)).toBe(id === null)
            expect(confidence > 0).toBe(id !== null)
            if (id !== null) expect(Math.abs(cents)).toBeLessThanOrEqual(155)
          })
        }
      }),
      { seed, numRuns: 20 },
    )
  })
})
