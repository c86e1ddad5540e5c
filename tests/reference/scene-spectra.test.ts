/**
 * Spectra of the noises against their published definitions, measured on long renderings.
 *
 * Bands are sums of a Hann periodogram between their edges. A band B hertz wide over T seconds of Gaussian noise is known to
 * 10 / ln 10 / sqrt(B T) dB; half-overlapped Hann segments lose next to nothing of that (Welch 1967).
 */
import { describe, expect, it } from 'vitest'
import { fill } from '../../src/core/fields.ts'
import { randomStream } from '../../src/core/maths/random.ts'
import { type Spectrum, welch } from '../../src/core/maths/spectrum.ts'
import { noiseById } from '../../src/core/scene/noises/index.ts'
import { pinkFilter } from '../../src/core/scene/noises/pink.ts'

function spectrumOf(id: string, given: Record<string, number>, sampleRateHz: number, durationS: number): Spectrum {
  const noise = noiseById(id)
  const samples = new Float64Array(sampleRateHz * durationS)
  const values = fill(noise.fields, given)
  const random = randomStream(20_250, id)
  noise.fill(samples, { sampleRateHz, random, values, pluck: null, onsetS: 0, recording: null })
  return welch(Float32Array.from(samples), sampleRateHz, 65536)
}

function bandPower({ density, binHz }: Spectrum, fromHz: number, toHz: number): number {
  return density.reduce((sum, value, bin) => {
    const from = Math.max(fromHz, (bin - 0.5) * binHz)
    const to = Math.min(toHz, (bin + 0.5) * binHz)
    return sum + Math.max(0, to - from) * value
  }, 0)
}

const db = (power: number): number => 10 * Math.log10(power)

/** Exact centres 1000 * 10^(n/10) and edges a twentieth of a decade off (IEC 61260-1:2014). */
const centreHz = (n: number): number => 1000 * 10 ** (n / 10)
const thirdOctaveDb = (spectrum: Spectrum, n: number): number =>
  db(bandPower(spectrum, centreHz(n - 0.5), centreHz(n + 0.5)))

describe('pink noise', () => {
  // Definition: density falls by 10 dB a decade (-3.01 dB an octave).
  it.each([8000, 44100, 48000, 96000, 192000])(
    'is -10 dB a decade within 0.3 dB from 20 Hz to 20 kHz, at %d Hz',
    (rateHz) => {
      const { poles, zeros } = pinkFilter(rateHz)
      const top = Math.min(20_000, 0.48 * rateHz)
      const errors: number[] = []
      for (let hz = 20; hz <= top; hz *= 1.01) {
        const angle = (2 * Math.PI * hz) / rateHz
        const squared = (root: number): number => 1 - 2 * root * Math.cos(angle) + root * root
        const power =
          zeros.reduce((all, zero) => all * squared(zero), 1) / poles.reduce((all, pole) => all * squared(pole), 1)
        errors.push(db(power * hz))
      }
      // Spread about its own middle: within +-0.3 dB of one line; own fit promises 0.06 dB, and 0.12 dB at 20 Hz.
      expect(Math.max(...errors) - Math.min(...errors)).toBeLessThan(0.2)
    },
  )
  it('has equal power in every octave', () => {
    const spectrum = spectrumOf('pink', {}, 48000, 60)
    const octaves = [0, 1, 2, 3, 4, 5, 6, 7, 8].map((n) => db(bandPower(spectrum, 40 * 2 ** n, 40 * 2 ** (n + 1))))
    const middle = octaves.reduce((sum, level) => sum + level, 0) / octaves.length
    // Lowest octave: B T = 40 * 60 = 2400, sd 0.09 dB; four of them and the filter's 0.1 dB.
    for (const level of octaves) expect(Math.abs(level - middle)).toBeLessThan(0.46)
  })
})

describe('white noise', () => {
  it('has equal power in every band of equal width', () => {
    const spectrum = spectrumOf('white', {}, 48000, 20)
    const bands = Array.from({ length: 12 }, (_, n) => db(bandPower(spectrum, 2000 * n, 2000 * (n + 1))))
    const middle = bands.reduce((sum, level) => sum + level, 0) / bands.length
    // B T = 40 000: sd 0.022 dB; five of them.
    for (const level of bands) expect(Math.abs(level - middle)).toBeLessThan(0.11)
  })
})

describe('babble', () => {
  // Byrne et al. 1994, JASA 96:2108-2120, Table II, combined; third octaves from 63 Hz to 16 kHz, dB for 70 dB overall.
  const combined: readonly [number, number][] = [
    ...([
      [-12, 38.6],
      [-11, 43.5],
      [-10, 54.4],
      [-9, 57.7],
      [-8, 56.8],
      [-7, 60.2],
      [-6, 60.3],
      [-5, 59.0],
    ] as const),
    ...([
      [-4, 62.1],
      [-3, 62.1],
      [-2, 60.5],
      [-1, 56.8],
      [0, 53.7],
      [1, 53.0],
      [2, 52.0],
      [3, 48.7],
    ] as const),
    ...([
      [4, 48.1],
      [5, 46.8],
      [6, 45.6],
      [7, 44.5],
      [8, 44.3],
      [9, 43.7],
      [10, 43.4],
      [11, 41.3],
      [12, 40.7],
    ] as const),
  ].map(([n, level]) => [n, level])
  // IEC 61672-1:2013, Table 3, third octaves from 63 Hz to 16 kHz.
  const aWeights = [
    ...[-26.2, -22.5, -19.1, -16.1, -13.4, -10.9, -8.6, -6.6, -4.8, -3.2, -1.9, -0.8, 0],
    ...[0.6, 1.0, 1.2, 1.3, 1.2, 1.0, 0.5, -0.1, -1.1, -2.5, -4.3, -6.6],
  ]
  const total = (levels: readonly number[]): number => db(levels.reduce((sum, level) => sum + 10 ** (level / 10), 0))

  it('is held against the right copy of the table: 70.03 dB, 65.95 dB A-weighted', () => {
    // Recomputed from the two published tables; a misprinted copy of the first has other values at 200, 250 and 315 Hz.
    expect(combined).toHaveLength(25)
    expect(total(combined.map(([, level]) => level))).toBeCloseTo(70.03, 2)
    expect(total(combined.map(([, level], index) => level + (aWeights[index] as number)))).toBeCloseTo(65.95, 2)
  })
  it.each([
    [48000, {}],
    [48000, { talkers: 1 }],
    [44100, { talkers: 64, syllablesHz: 1 }],
    [8000, {}],
    [96000, {}],
  ] as const)('has the third-octave levels of speech within 1 dB, at %d Hz with %o', (rateHz, given) => {
    // 63 Hz band: 14.5 Hz wide; 60 s leave 0.15 dB. One talker's loudness swings by the whole of its power; at 4 syllables a
    // second 240 of them leave 0.4 dB, common to all bands, and it smears the band edges by 4 Hz.
    const spectrum = spectrumOf('babble', given, rateHz, 60)
    const heard = combined.filter(([n]) => centreHz(n + 0.5) < rateHz / 2)
    const measured = heard.map(([n]) => thirdOctaveDb(spectrum, n))
    const shift = total(heard.map(([, level]) => level)) - total(measured)
    for (const [index, [, level]] of heard.entries()) {
      expect(Math.abs((measured[index] as number) + shift - level)).toBeLessThan(1)
    }
  })
})

describe('hum', () => {
  it.each([
    [50, -6],
    [60, -3],
    [16.7, 0],
  ])('sounds at multiples of %d Hz, %d dB an octave, and nowhere else', (mainsHz, slopeDb) => {
    const spectrum = spectrumOf('hum', { mainsHz, slopeDb, harmonics: 12 }, 8000, 60)
    const around = (hz: number): number => bandPower(spectrum, hz - 1, hz + 1)
    const first = around(mainsHz)
    for (let k = 2; k <= 12; k++) {
      // Bins of 0.12 Hz: the window's side lobes within 1 Hz lose the same share of every line.
      expect(db(around(k * mainsHz) / first)).toBeCloseTo(slopeDb * Math.log2(k), 3)
      // Half way to the next one: Hann side lobes 68 bins off are under -130 dB, float32 rounding adds -130 dB or so.
      expect(db(around((k + 0.5) * mainsHz) / first)).toBeLessThan(-100)
    }
    expect(db(around(13 * mainsHz) / first)).toBeLessThan(-100)
  })
})

describe('stage', () => {
  it('beats at its tempo: the bass drum comes every second quarter, 1 Hz at 120', () => {
    const noise = noiseById('stage')
    const rateHz = 8000
    const samples = new Float64Array(32 * rateHz)
    const values = fill(noise.fields, {})
    noise.fill(samples, {
      sampleRateHz: rateHz,
      random: randomStream(5),
      values,
      pluck: null,
      onsetS: 0,
      recording: null,
    })
    // Loudness every 10 ms, then its autocorrelation: highest at whole bars (2 s) or half ones among lags of 0.3 to 2.5 s.
    const loudness = Array.from({ length: 3200 }, (_, i) => {
      let sum = 0
      for (let n = 80 * i; n < 80 * (i + 1); n++) sum += (samples[n] as number) ** 2
      return sum
    })
    const mean = loudness.reduce((sum, value) => sum + value, 0) / loudness.length
    const likeness = (lag: number): number =>
      loudness.slice(lag).reduce((sum, value, i) => sum + (value - mean) * ((loudness[i] as number) - mean), 0)
    const lags = Array.from({ length: 221 }, (_, i) => 30 + i)
    const best = lags.reduce((top, lag) => (likeness(lag) > likeness(top) ? lag : top))
    expect([100, 200]).toContain(best)
  })
})
