/** What holds for the onset finder whatever it hears. */
import fc from 'fast-check'
import { describe, expect, it } from 'vitest'
import { randomStream } from '../../src/core/maths/random.ts'
import { OnsetFinder } from '../../src/core/methods/onset.ts'

const seed = 20261125
const rateHz = 48000
const target = fc.constantFrom(null, 41.2, 110, 329.6)
const open = (targetHz: number | null): OnsetFinder => new OnsetFinder({ sampleRateHz: rateHz, targetHz, room: null })

/** Noise with bursts of tone: onsets of all kinds. */
const sound = fc
  .record({
    seed: fc.nat(),
    starts: fc.array(fc.integer({ min: 2000, max: 28000 }), { maxLength: 4 }),
    hz: fc.double({ min: 60, max: 500, noNaN: true }),
    level: fc.double({ min: 0.1, max: 10, noNaN: true }),
  })
  .map(({ seed: noiseSeed, starts, hz, level }) => {
    const samples = new Float64Array(30000)
    randomStream(noiseSeed, 'sound').fillGaussian(samples)
    for (const start of starts) {
      for (let i = start; i < samples.length; i++) {
        const t = (i - start) / rateHz
        for (let k = 1; k <= 8; k++)
          samples[i] = (samples[i] as number) + (level / k) * Math.exp(-6 * t) * Math.sin(2 * Math.PI * hz * k * t)
      }
    }
    return samples
  })

const said = (finder: OnsetFinder, samples: Iterable<number>): string[] => {
  const all: string[] = []
  let i = 0
  for (const sample of samples) {
    if (finder.push(sample)) all.push(`${i} ${finder.onsetSample}`)
    i++
  }
  return [...all, finder.standing]
}

describe('the onset finder', () => {
  it('finds the same at a quarter of the level', () => {
    fc.assert(
      fc.property(sound, target, (samples, targetHz) => {
        // Powers of two change no mantissa.
        expect(
          said(
            open(targetHz),
            samples.map((sample) => sample / 4),
          ),
        ).toEqual(said(open(targetHz), samples))
      }),
      { seed, numRuns: 25 },
    )
  })

  it('finds nothing in silence or in anything constant', () => {
    fc.assert(
      fc.property(fc.double({ min: -1, max: 1, noNaN: true }), target, (value, targetHz) => {
        expect(said(open(targetHz), new Float64Array(48000).fill(value))).toEqual(['open'])
      }),
      { seed, numRuns: 20 },
    )
  })

  it('places an onset in what it has heard, after the one before', () => {
    fc.assert(
      fc.property(sound, target, (samples, targetHz) => {
        const finder = open(targetHz)
        let last = -1
        samples.forEach((sample, i) => {
          if (!finder.push(sample)) return
          expect(finder.onsetSample).toBeGreaterThan(last)
          expect(finder.onsetSample).toBeLessThanOrEqual(i)
          expect(finder.confidence).toBeGreaterThanOrEqual(0.5)
          expect(finder.confidence).toBeLessThanOrEqual(1)
          last = finder.onsetSample
        })
      }),
      { seed, numRuns: 25 },
    )
  })

  it('shares nothing with another finder that hears something else between its samples', () => {
    fc.assert(
      fc.property(sound, sound, target, (samples, others, targetHz) => {
        const other = open(targetHz)
        const between = function* (): Generator<number> {
          for (let i = 0; i < samples.length; i++) {
            other.push(others[i] as number)
            yield samples[i] as number
          }
        }
        expect(said(open(targetHz), between())).toEqual(said(open(targetHz), samples))
      }),
      { seed, numRuns: 15 },
    )
  })

  it('keeps no more memory the longer it hears', () => {
    const finder = open(110)
    const noise = new Float64Array(rateHz)
    randomStream(seed, 'memory').fillGaussian(noise)
    const hear = (seconds: number): void => {
      for (let s = 0; s < seconds; s++) for (const sample of noise) finder.push(sample)
    }
    hear(4)
    const before = process.memoryUsage()
    hear(20)
    const after = process.memoryUsage()
    // 20 s hold 960 000 samples: one kept number each would be 7.7 MB. Array buffers are counted apart from the heap.
    expect(after.arrayBuffers - before.arrayBuffers).toBeLessThan(1e6)
  })
})
