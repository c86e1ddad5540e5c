/**
 * The cepstrum on its paper's cases (Noll 1967, JASA 41:293-309; settings from memory: 40 ms Hamming window, 10 kHz, band to 4 kHz,
 * periods of 1 to 15 ms) and against two laws: the echo of Bogert, Healy & Tukey 1963 ("The quefrency alanysis of time series for
 * echoes", Proc. Symp. Time Series Analysis, 209-243; restated by Oppenheim & Schafer 2004, IEEE Signal Processing Magazine
 * 21(5):95-106, eqs. 1 to 3), and the mean of a stiff string's offsets.
 */
import { describe, expect, it } from 'vitest'
import { cepstrum } from '../../src/core/methods/cepstrum.ts'
import { listen } from '../../src/core/methods/listen.ts'
import type { Reading } from '../../src/core/methods/method.ts'

const cents = (hz: number, referenceHz: number): number => 1200 * Math.log2(hz / referenceHz)

/** The paper's settings: its threshold alone is not known, and no floor is needed where no harmonic is weak. */
const paperRateHz = 10000
const paper = { window: 400, hop: 50, topHz: 4000, floorDb: 100 }
const asInPaper = (samples: Float32Array): Reading[] =>
  listen(
    cepstrum,
    samples,
    { sampleRateHz: paperRateHz, lowestHz: 1000 / 15, highestHz: 1000, targetHz: null, room: null },
    paper,
  )

const onString = (samples: Float32Array, values: object = {}): Reading[] =>
  listen(
    cepstrum,
    samples,
    { sampleRateHz: 48000, lowestHz: 30, highestHz: 1400, targetHz: null, room: null },
    { hop: 1024, ...values },
  )

/** Pulses every `periodMs` through resonances of a vowel (500, 1500, 2500 Hz, 60 to 120 Hz wide), harmonics under `fromHz` left out. */
function vowel(periodMs: number, fromHz = 0): Float32Array {
  const out = new Float32Array(1500)
  const f0Hz = 1000 / periodMs
  for (let k = 1; k * f0Hz < 4500; k++) {
    const hz = k * f0Hz
    if (hz < fromHz) continue
    let gain = 0.01
    for (const [centre, width] of [
      [500, 60],
      [1500, 90],
      [2500, 120],
    ]) {
      gain *= centre ** 2 / Math.hypot(centre ** 2 - hz ** 2, width * hz)
    }
    for (let i = 0; i < out.length; i++) {
      out[i] += gain * Math.cos((2 * Math.PI * hz * i) / paperRateHz + 0.1 * k * k)
    }
  }
  return out
}

let state = 99
const noise = (n: number): Float32Array =>
  Float32Array.from({ length: n }, () => {
    state = (Math.imul(state, 1664525) + 1013904223) | 0
    return state / 2 ** 31
  })

describe('voiced sounds', () => {
  // Ripple of the log spectrum is that of lines 100 Hz wide (Hamming, 40 ms). With n harmonics below 4 kHz C is as curved at its
  // peak as (2 pi f0)^2 n^2 / 3; a tilt of the peak's surroundings by its own height over the longest period, 15 ms, moves it by
  // 3 / (4 pi^2 n^2 f0 15 ms) periods: with the 12 harmonics of 333 Hz 0.2 c, of 80 Hz less. Formants tilt it ten times as much.
  it.each([3, 4, 5.5, 7, 8, 10, 12.5])('a period of %d ms, whatever the vowel’s resonances', (periodMs) => {
    const readings = asInPaper(vowel(periodMs))
    expect(readings).toHaveLength(23)
    for (const { f0Hz } of readings) expect(Math.abs(cents(f0Hz, 1000 / periodMs))).toBeLessThan(2.5)
  })

  it.each([4, 7, 10])('a period of %d ms without anything under 300 Hz, as over a telephone', (periodMs) => {
    for (const { f0Hz } of asInPaper(vowel(periodMs, 300))) {
      expect(Math.abs(cents(f0Hz, 1000 / periodMs))).toBeLessThan(2.5)
    }
  })

  it('stand higher than unvoiced ones', () => {
    const least = Math.min(...asInPaper(vowel(8)).map(({ confidence }) => 0.2 / (1 - confidence)))
    const unvoiced = asInPaper(noise(50_000))
    // A log periodogram scatters by pi / sqrt 6 nepers a bin; 4 kHz in 40 ms are 160 bins: C scatters by 1.28 / sqrt(2 * 160) = 0.07,
    // and the highest of some hundred stands at 2.5 of that, 0.18, the highest of all 993 frames at 6 or so, 0.43.
    expect(unvoiced.filter(({ f0Hz }) => !Number.isNaN(f0Hz)).length).toBeLessThan(unvoiced.length / 2)
    expect(Math.max(...unvoiced.map(({ confidence }) => 0.2 / (1 - confidence)))).toBeLessThan(0.43)
    expect(least).toBeGreaterThan(4 * 0.43)
  })

  it('a pure tone has no cepstral peak: it is declined', () => {
    for (const hz of [110, 220, 440, 880]) {
      const tone = Float32Array.from({ length: 8192 }, (_, i) => Math.sin((2 * Math.PI * hz * i) / 48000))
      expect(onString(tone).every(({ f0Hz }) => Number.isNaN(f0Hz))).toBe(true)
    }
  })
})

describe('sub-multiples', () => {
  it('are not taken for the period where many periods fit the window', () => {
    // 85 ms hold 28 periods of 329.63 Hz: lines are narrow, peaks at 2, 3, 4 ... periods nearly as high, and weigh more.
    for (const f0Hz of [146.83, 246.94, 329.63]) {
      const complex = Float32Array.from({ length: 16_384 }, (_, i) => {
        let sum = 0
        for (let k = 1; k <= 10; k++) sum += 0.05 * Math.sin((2 * Math.PI * k * f0Hz * i) / 48000 + k * k)
        return sum
      })
      const readings = onString(complex)
      expect(readings.length).toBeGreaterThan(10)
      // Four lines under 1.5 kHz, the last of them on the fade: a peak that broad is pulled by up to two cents.
      for (const reading of readings) expect(Math.abs(cents(reading.f0Hz, f0Hz))).toBeLessThan(2)
    }
  })
})

describe('an echo (Bogert, Healy & Tukey)', () => {
  it.each([0.3, 0.5, 0.8])('of %d of the sound is a peak of just that height at its delay', (share) => {
    // log |1 + a e^(-i w d)|^2 = 2 a cos w d - a^2 cos 2 w d + ...: the mean of that times cos w d is a.
    const delay = 240
    const sound = noise(48000 * 8)
    const both = sound.map((value, i) => value + (i >= delay ? share * sound[i - delay] : 0))
    const threshold = 0.01
    const window = 32_768
    const readings = onString(both, { window, hop: window, topHz: 16_000, floorDb: 120, threshold })
    expect(readings).toHaveLength(11)
    const heights = readings.map(({ confidence }) => threshold / (1 - confidence))
    const mean = heights.reduce((sum, height) => sum + height, 0) / heights.length
    // 16 kHz in 0.68 s are 10 900 bins, 8 000 under a Hamming window: a height scatters by 1.28 / sqrt(2 * 8000) = 0.010, the mean of 11 by
    // 0.003; the window holds 240 / 32768 less of the echo: under 0.006. Four deviations and that.
    expect(Math.abs(mean - share)).toBeLessThan(0.018)
    for (const { f0Hz } of readings) {
      // Noise of 0.010 on a slope of a (2 pi 16 kHz)^2 / 3 a second moves the peak by 0.010 * 2 pi 16 kHz / sqrt 3 over that: 2 us at 0.3.
      expect(Math.abs(1e6 / f0Hz - 5000)).toBeLessThan(4 * 2)
    }
  })
})

describe('a stiff string', () => {
  it.each([
    [5e-5, 1500],
    [5e-5, 2500],
    [1e-4, 1500],
    [1e-4, 2500],
  ])(
    'of B = %d heard up to %d Hz reads the mean of its partials’ offsets weighted by k squared',
    (stiffness, topHz) => {
      const f1Hz = 110
      const samples = new Float64Array(12_288)
      let offsets = 0
      let weights = 0
      for (let k = 1; k * f1Hz < 5000; k++) {
        const hz = k * f1Hz * Math.sqrt((1 + stiffness * k * k) / (1 + stiffness))
        for (let i = 0; i < samples.length; i++) samples[i] += 0.02 * Math.cos((2 * Math.PI * hz * i) / 48000 + k * k)
        if (hz > topHz) continue
        // C is a sum of cosines at the partials, equal but for the fade: its peak moves by the mean weighted by their curvature.
        const weight = (0.54 + 0.46 * Math.cos((Math.PI * hz) / topHz)) * k * k
        offsets += weight * cents(hz, k * f1Hz)
        weights += weight
      }
      const expected = offsets / weights
      for (const { f0Hz } of onString(Float32Array.from(samples), { topHz })) {
        // First order only. A partial at the band's edge is cut in half: at 1.5 kHz partial 13, 0.08 of 13^2 in some 300, up to 4 %. The
        // cosine of the highest turns by up to 0.8 rad (40 c of 20 periods), where its pull is 1 - 0.8^2 / 6 of the linear one: 10 %.
        expect(Math.abs(cents(f0Hz, f1Hz) / expected - 1)).toBeLessThan(0.14)
      }
    },
  )
})
