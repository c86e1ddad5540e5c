/**
 * What every method in the list promises, whatever its idea. Seeds are fixed; fast-check prints the failing one.
 *
 * Methods that take more than about 3 ms a frame hear half a second, a frame every 4096 samples, and no long run.
 */
import { setFlagsFromString } from 'node:v8'
import { runInNewContext } from 'node:vm'
import fc from 'fast-check'
import { describe, expect, it } from 'vitest'
import { fill } from '../../src/core/fields.ts'
import { methods } from '../../src/core/methods/index.ts'
import { listen } from '../../src/core/methods/listen.ts'
import type { Listener, Method, Reading, Stream } from '../../src/core/methods/method.ts'

const seed = 20240607
const rate = 48000
const noteHz = 110

/** Outside packages that compare every sample with every other: 5 to 80 ms for a frame of 4096. */
const slow = new Set(['pitchfinder-yin', 'pitchfinder-macleod', 'pitchfinder-amdf', 'pitchfinder-acf2plus'])

/**
 * Not the same at half the level, by their own arithmetic: YIN of pitchfinder adds 1 to a sum of squares, AMDF rounds sums
 * to whole numbers, ACF2PLUS compares samples with 0.2 and the level with 0.01.
 */
const dependsOnLevel = new Set(['pitchfinder-yin', 'pitchfinder-amdf', 'pitchfinder-acf2plus'])

const streamFor = (targetHz: number): Stream => ({
  sampleRateHz: rate,
  lowestHz: 30,
  highestHz: 1400,
  targetHz,
  room: null,
})

/** Smaller windows for the slow ones keep this file quick; nothing promised here depends on the window. */
const settings = ({ id, fields }: Method): Record<string, number> =>
  slow.has(id) ? { window: 2048, hop: 4096 } : Object.hasOwn(fields, 'hop') ? { hop: 1024 } : {}

/** Six partials falling as 1/k, dying away, with a little noise that cannot be repeated by accident. */
function note(f0Hz: number, durationS: number, noise = 0.001, decayS = 4): Float32Array {
  let state = 12345
  return Float32Array.from({ length: Math.round(durationS * rate) }, (_, i) => {
    let sum = 0
    for (let k = 1; k <= 6; k++) sum += Math.sin((2 * Math.PI * k * f0Hz * i) / rate + k) / k
    state = (Math.imul(state, 1664525) + 1013904223) | 0
    return 0.3 * sum * Math.exp((-6.91 * i) / rate / decayS) + (noise * state) / 2 ** 31
  })
}

function listener(method: Method, targetHz = noteHz): Listener {
  return method.open(streamFor(targetHz), fill(method.fields, settings(method)))
}

function collected(ear: Listener, blocks: Iterable<Float32Array>): Reading[] {
  const readings: Reading[] = []
  for (const block of blocks) ear.push(block, (reading) => readings.push({ ...reading }))
  return readings
}

function* cut(samples: Float32Array, lengths: readonly number[]): Generator<Float32Array> {
  let start = 0
  for (let i = 0; start < samples.length; i++) {
    const length = lengths[i % lengths.length]
    yield samples.subarray(start, start + length)
    start += length
  }
}

/** For promises a method cannot make, said above: no test rather than a skipped one. */
const noTest = (_title: string, _body: () => void): void => {}

const answered = (readings: readonly Reading[]): Reading[] => readings.filter(({ f0Hz }) => !Number.isNaN(f0Hz))

describe.each(methods.map((method) => ({ id: method.id, method })))('$id', ({ id, method }) => {
  const durationS = slow.has(id) ? 0.5 : 1
  const take = note(noteHz, durationS)
  const whole = collected(listener(method), [take])

  it('hears the note at all', () => {
    // What follows compares readings with readings; two empty lists would agree as well.
    expect(answered(whole).length).toBeGreaterThan(whole.length / 3)
  })

  it('says the same however the stream is cut', () => {
    fc.assert(
      fc.property(fc.array(fc.integer({ min: 1, max: 6000 }), { minLength: 1, maxLength: 8 }), (lengths) => {
        expect(collected(listener(method), cut(take, lengths))).toEqual(whole)
      }),
      { seed, numRuns: slow.has(id) ? 2 : 8, examples: [[[128]]] },
    )
  })

  it('stamps rise, and no evidence is later than the newest sample', () => {
    const ear = listener(method)
    let pushed = 0
    let last = -1
    for (const block of cut(take, [1, 127, 500])) {
      pushed += block.length
      ear.push(block, ({ fromSample, toSample, atSample }) => {
        expect(toSample).toBeGreaterThan(last)
        expect(toSample).toBeLessThanOrEqual(pushed)
        expect(fromSample).toBeGreaterThanOrEqual(0)
        expect(fromSample).toBeLessThan(toSample)
        expect(atSample).toBeGreaterThanOrEqual(fromSample)
        expect(atSample).toBeLessThanOrEqual(toSample)
        last = toSample
      })
    }
  })

  const unlessLevelCounts = dependsOnLevel.has(id) ? noTest : it
  unlessLevelCounts('says the same at half the level', () => {
    const half = collected(listener(method), [take.map((sample) => sample / 2)])
    expect(half).toHaveLength(whole.length)
    for (let i = 0; i < half.length; i++) {
      // Halving is exact in binary; 1e-6 c is the promise between engines, all that rounding may do.
      const cents = 1200 * Math.log2(half[i].f0Hz / whole[i].f0Hz)
      expect(
        Number.isNaN(cents) ? Number.isNaN(whole[i].f0Hz) && Number.isNaN(half[i].f0Hz) : Math.abs(cents) < 1e-6,
      ).toBe(true)
    }
  })

  it('declines silence, a steady offset and what is no number', () => {
    const n = durationS * rate
    for (const filling of [0, -0, Number.NaN, Number.POSITIVE_INFINITY, 1e-45]) {
      const readings = collected(listener(method), [new Float32Array(n).fill(filling)])
      expect(readings.length).toBeGreaterThan(0)
      expect(answered(readings)).toEqual([])
    }
  })

  it('never throws, and answers only what a reading may hold', () => {
    const oddities = [0, Number.NaN, Number.POSITIVE_INFINITY, 3e38, -3e38, 1e-45, 1, -1]
    fc.assert(
      fc.property(
        fc.array(fc.tuple(fc.nat({ max: take.length - 1 }), fc.nat({ max: 3000 }), fc.constantFrom(...oddities)), {
          maxLength: 5,
        }),
        (places) => {
          const broken = take.slice()
          for (const [start, length, value] of places) broken.fill(value, start, start + length)
          for (const reading of collected(listener(method), [broken])) {
            expect(Number.isNaN(reading.f0Hz) || (reading.f0Hz > 0 && reading.f0Hz < rate / 2)).toBe(true)
            expect(reading.confidence).toBeGreaterThanOrEqual(0)
            expect(reading.confidence).toBeLessThanOrEqual(1)
            expect(Number.isNaN(reading.spreadCents) || reading.spreadCents >= 0).toBe(true)
          }
        },
      ),
      { seed, numRuns: slow.has(id) ? 2 : 10 },
    )
  })

  it('two listeners do not share anything', () => {
    const other = note(2 * noteHz, durationS)
    const alone = collected(listener(method, 2 * noteHz), [other])
    const first = listener(method)
    const second = listener(method, 2 * noteHz)
    const firstSaid: Reading[] = []
    const secondSaid: Reading[] = []
    for (let start = 0; start < take.length; start += 1000) {
      first.push(take.subarray(start, start + 1000), (reading) => firstSaid.push({ ...reading }))
      second.push(other.subarray(start, start + 1000), (reading) => secondSaid.push({ ...reading }))
    }
    expect(firstSaid).toEqual(whole)
    expect(secondSaid).toEqual(alone)
  })

  it('is as close on a clean tone as its theory says', () => {
    for (const f0Hz of slow.has(id) ? [noteHz] : [noteHz, 196]) {
      const clean = note(f0Hz, durationS, 0, Number.POSITIVE_INFINITY)
      // Every multiple of the period is as good as the period to its default, 0.97 in single precision.
      const values = id === 'pitchfinder-macleod' ? { hop: 8192, cutoff: 0.9 } : { hop: slow.has(id) ? 8192 : 1024 }
      const readings = answered(
        listen(method, clean, streamFor(f0Hz), Object.hasOwn(method.fields, 'hop') ? values : {}),
      )
      const errors = readings.map((reading) => Math.abs(1200 * Math.log2(reading.f0Hz / f0Hz))).sort((a, b) => a - b)
      const middle = errors[errors.length >> 1]
      expect(middle).toBeLessThan(toleranceCents(id, f0Hz))
    }
  })

  const unlessSlow = slow.has(id) ? noTest : it
  unlessSlow('does not grow in a minute', () => {
    const second = note(noteHz, 1)
    const ear = listener(method)
    let readings = 0
    const listenFor = (seconds: number): void => {
      for (let i = 0; i < seconds; i++) ear.push(second, () => readings++)
    }
    listenFor(10)
    // A leak grows in every span; what the engine and the test runner allocate meanwhile does not.
    const grown = [1, 2, 3].map(() => {
      readings = 0
      const before = heldBytes()
      listenFor(20)
      return (heldBytes() - before) / readings
    })
    // One kept reading takes over 100 bytes, one kept number 8: half the former still finds a leak of one object a frame.
    expect(Math.min(...grown)).toBeLessThan(50)
  })
})

/**
 * Median error allowed on the clean note above, cents. A sample of period is 1731 f0 / rate cents. With partials 1/k the
 * power at partial k is 1/k^2: the curvature of lag products is that of six equal partials, w^2 sum k^2 / k^2 = 6 w^2.
 */
function toleranceCents(id: string, f0Hz: number): number {
  const sampleCents = (1731 * f0Hz) / rate
  const bend = 6 * ((2 * Math.PI * f0Hz) / rate) ** 2
  switch (id) {
    // Exact for a periodic sound whose partials lie far under a third of the rate: what remains is the single precision of
    // the samples, 1e-7 on the bend of the curve, twice.
    case 'yin':
    case 'mpm':
      return (2 * sampleCents * 1e-7) / bend
    // The window is undone on average over phase only: with ten periods the rest is of the size of the Hann window's
    // side lobes 20 bins out (-90 dB) on the bend of the curve.
    case 'acf':
      return 0.005
    // A parabola through three samples misses a cosine of w by up to 0.016 w^2 samples; partials weigh in with k^4 / k^2 /
    // 6: 15 times the fundamental's. Single precision adds 1e-7 / bend. Twice that; 0.02 c for sums in single precision
    // and for yin's normalisation, which tilts the dip by one part in a period.
    case 'pitchy':
    case 'pitchfinder-macleod':
    case 'pitchfinder-yin':
      return 2 * sampleCents * (0.016 * 15 * (bend / 6) + 1e-7 / bend) + 0.02
    // No correction for the shrinking overlap: the slope 1 / (N - T) of the taper over the bend. Twice that.
    case 'pitchfinder-acf2plus':
      return (2 * sampleCents) / ((4096 - rate / f0Hz) * bend) + 0.02
    // Whole samples of period: half a sample, and one more for the place where the search starts.
    case 'pitchfinder-amdf':
      return 1.5 * sampleCents
    // Distances between extremes in whole samples, averaged within one sample each way.
    case 'pitchfinder-wavelet':
      return 2 * sampleCents
    // Least squares of the signal itself: single precision of samples, 6e-8 of full scale, over sqrt(4096 samples) on a turn
    // of 2 pi f0 85 ms is far under 1e-3 c; what is left is cross-talk after four sweeps, 0.045^4 of half a bin (12 Hz)
    // over the 110 Hz and more of the note: 1e-3 c, three partials side by side.
    case 'partial-fit':
    case 'joint-fit':
      return 0.005
    // The same least squares over a span of 0.35 s in the middle reading; partials above the listened ones and the mirror images
    // leak no more than there.
    case 'growing-fit':
      return 0.005
    // B is one of a grid from 2e-5 up: partial 6 of a string without stiffness is then sought 0.6 c too high. A parabola misses
    // a Hann line by up to 0.01 bins of 2.9 Hz, at partial 1 0.5 c.
    case 'whitened-sum':
      return 1.1
    // The rest of the note pulls a lone line by its leak times its distance: partial 2, half as strong, 9.4 bins and 110 Hz away:
    // 0.5 / (pi 9.4^3) of 110 Hz is 0.3 c; the mirror image as far again. 196 Hz: less.
    case 'phase-vocoder':
    case 'spectral-peak':
      return 0.6
    // A straight line between samples misses a wave by under 1e-3 of a sample; what passes the filter is periodic.
    case 'zero-crossing':
      return 0.01
    // The mean of single lines read by parabolas: a line at twice its own padding is read to 0.01 bins of rate / 4096, and
    // partial 1 weighs most of what it says by itself.
    case 'harmonic-sum':
    case 'hps':
    case 'multi-comb':
      return (1731 * 0.01 * (rate / 4096)) / f0Hz
    // A parabola over a grid of 25 c: a quarter of a step, for a sum that is no parabola between its points.
    case 'shs':
    case 'swipe-prime':
      return 25 / 4
    // Lines cut off 25 dB down are about 15 Hz wide to either side: parabolas in the logarithm, standard deviation 15 / sqrt 5 Hz, s in
    // rad/s. Their own transform falls with quefrency q as exp(-s^2 q^2 / 2) and pulls the peak by s^2 q / (4 pi^2 f0^2 m); m, the mean
    // of k^2 over heights of 25 - 20 lg k dB, is 11. Twice that.
    case 'cepstrum': {
      const s = (2 * Math.PI * 15) / Math.sqrt(5)
      return (2 * 1731 * s * s) / (4 * Math.PI ** 2 * f0Hz ** 2 * 11)
    }
    default:
      throw new Error(`${id} states no tolerance: derive one from its theory`)
  }
}

setFlagsFromString('--expose-gc')
const collectGarbage = runInNewContext('gc') as () => void

function heldBytes(): number {
  collectGarbage()
  collectGarbage()
  const { heapUsed, external, arrayBuffers } = process.memoryUsage()
  return heapUsed + external + arrayBuffers
}
