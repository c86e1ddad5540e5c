/**
 * Period followers against their papers, against outside packages and against the physics of a stiff string.
 *
 * Papers: de Cheveigne & Kawahara 2002 (JASA 111:1917-1930), McLeod & Wyvill 2005 (ICMC), Boersma 1993 (IFA Proc. 17:97-110).
 * Equation numbers and the example signal are from memory; each is checked against a direct sum or against arithmetic,
 * never against the memory alone. Outside packages: pitchy 4, pitchfinder 2.
 */
import { describe, expect, it } from 'vitest'
import { hann } from '../../src/core/maths/windows.ts'
import { methodById } from '../../src/core/methods/index.ts'
import { LagProducts } from '../../src/core/methods/lagproducts.ts'
import { listen } from '../../src/core/methods/listen.ts'
import type { Reading } from '../../src/core/methods/method.ts'

const own = ['yin', 'mpm', 'acf'] as const

function readingsOf(id: string, samples: Float32Array, sampleRateHz: number, values: object = {}): Reading[] {
  const stream = { sampleRateHz, lowestHz: 30, highestHz: 1400, targetHz: null, room: null }
  return listen(methodById(id), samples, stream, { ...values })
}

const cents = (hz: number, referenceHz: number): number => 1200 * Math.log2(hz / referenceHz)

const median = (values: readonly number[]): number => values.toSorted((a, b) => a - b)[values.length >> 1]

const heardHz = (readings: readonly Reading[]): number =>
  median(readings.map(({ f0Hz }) => f0Hz).filter((f0Hz) => !Number.isNaN(f0Hz)))

const sampled = (durationS: number, sampleRateHz: number, at: (timeS: number) => number): Float32Array =>
  Float32Array.from({ length: Math.round(durationS * sampleRateHz) }, (_, i) => at(i / sampleRateHz))

/** White, uniform, mean square 1, seeded. */
function whiteNoise(n: number): Float32Array {
  let state = 99
  return Float32Array.from({ length: n }, () => {
    state = (Math.imul(state, 1664525) + 1013904223) | 0
    return (Math.sqrt(3) * state) / 2 ** 31
  })
}

/** Stiff string f_k = k f0 sqrt(1 + B k^2), amplitudes of a pluck at a fifth of its length, higher partials dying sooner. */
const stiffString = (f1Hz: number, stiffness: number, sampleRateHz: number): Float32Array => {
  const f0Hz = f1Hz / Math.sqrt(1 + stiffness)
  const partials = Array.from({ length: 30 }, (_, i) => i + 1)
    .map((k) => ({ k, hz: k * f0Hz * Math.sqrt(1 + stiffness * k * k) }))
    .filter(({ hz }) => hz < 0.4 * sampleRateHz)
  return sampled(1, sampleRateHz, (timeS) =>
    partials.reduce(
      (sum, { k, hz }) =>
        sum +
        ((0.7 * Math.sin((Math.PI * k) / 5)) / k) *
          Math.exp((-6.91 * timeS * (1 + 0.1 * k)) / 4) *
          Math.cos(2 * Math.PI * hz * timeS),
      0,
    ),
  )
}

describe('pitches of open strings', () => {
  // MIDI 36, 40, 45, 47 and 60 Hz: librosa documentation, midi_to_hz and hz_to_midi examples. The other open strings are
  // 440 * 2^((m - 69) / 12) with m = 28, 50, 55, 59, 64, as in ISO 16 and the MIDI tuning formula.
  const table = [65.406, 82.407, 110, 123.471, 60, 41.203, 146.832, 195.998, 246.942, 329.628]

  it.each(own)('%s reads them at every rate, pure and as a complex tone', (id) => {
    for (const sampleRateHz of [8000, 44100, 48000, 96000, 192000]) {
      // The same stretch of time, 85 ms, at every rate.
      const window = Math.round(0.0853 * sampleRateHz)
      for (const hz of table) {
        for (const partials of [1, 4]) {
          const tone = sampled(0.2, sampleRateHz, (timeS) => {
            let sum = 0
            for (let k = 1; k <= partials; k++) sum += Math.sin(2 * Math.PI * k * hz * timeS + 0.3 * k) / k
            return 0.2 * sum
          })
          const heard = heardHz(readingsOf(id, tone, sampleRateHz, { window, hop: window }))
          // The tone has the printed frequency, so only the method errs. yin and mpm: interpolation,
          // sin(pi 1319 / 8000)^24 = 6e-8 of the curve. acf: the window is undone on average over phase only; with over 5
          // periods a window the rest is under 6e-5 of the period (worked out over all phases), with the 3.5 of 41 Hz
          // the paper's Table 1 allows 5e-4 for a sine (from memory; worst seen here 2e-4).
          const acfCents = 1731 * (hz < 50 ? 5e-4 : 6e-5)
          const allowed = id === 'acf' ? acfCents : 1e-3
          expect(Math.abs(cents(heard, hz)), `${hz} Hz at ${sampleRateHz}`).toBeLessThan(allowed)
        }
      }
    }
  })
})

describe('YIN, equations 6 and 8', () => {
  it('finds the dip that the direct sums have', () => {
    const rate = 8000
    const window = 1024
    const noise = whiteNoise(window)
    const frame = stiffString(196, 1e-4, rate)
      .slice(0, window)
      .map((sample, i) => sample + 0.05 * noise[i])
    const [reading] = readingsOf('yin', frame, rate, { window })
    // W is the window less the longest lag and what the interpolation reaches beyond it: 267 + 13.
    const integration = window - 280
    const difference = (lag: number): number => {
      let sum = 0
      for (let j = 0; j < integration; j++) sum += (frame[j] - frame[j + lag]) ** 2
      return sum
    }
    const normalised: number[] = [1]
    let running = 0
    for (let lag = 1; lag <= 268; lag++) {
      running += difference(lag)
      normalised.push((difference(lag) * lag) / running)
    }
    const first = normalised.findIndex((value, lag) => lag > 5 && value < 0.1)
    let dip = first
    while (normalised[dip + 1] < normalised[dip]) dip++
    expect(reading.confidence).toBeCloseTo(1 - normalised[dip], 10)
    // The turning point lies within a sample of the deepest one.
    expect(Math.abs(rate / reading.f0Hz - dip)).toBeLessThan(1)
  })

  it('needs an integration window and the longest lag: two periods and a little', () => {
    // "needs about two periods": notes on the YIN reference implementation (soundsoftware, yin page).
    const tone = (hz: number): Float32Array => sampled(0.5, 48000, (timeS) => 0.3 * Math.sin(2 * Math.PI * hz * timeS))
    const values = { window: 1024, hop: 1024 }
    expect(cents(heardHz(readingsOf('yin', tone(100), 48000, values)), 100)).toBeCloseTo(0, 3)
    expect(readingsOf('yin', tone(90), 48000, values).every(({ f0Hz }) => Number.isNaN(f0Hz))).toBe(true)
  })
})

describe('McLeod, equation 9', () => {
  it('has the clarity of the direct sums at the peak', () => {
    const rate = 48000
    const window = 4096
    const frame = stiffString(110, 5e-5, rate).slice(0, window)
    const [reading] = readingsOf('mpm', frame, rate, { window })
    const curve = (lag: number): number => {
      let product = 0
      let energy = 0
      for (let j = 0; j < window - lag; j++) {
        product += frame[j] * frame[j + lag]
        energy += frame[j] ** 2 + frame[j + lag] ** 2
      }
      return (2 * product) / energy
    }
    const lag = Math.round(rate / reading.f0Hz)
    const highest = Math.max(curve(lag - 1), curve(lag), curve(lag + 1))
    // Between samples the curve is higher by at most its bend over 8: here under 1e-3.
    expect(reading.confidence).toBeGreaterThanOrEqual(highest - 1e-9)
    expect(reading.confidence).toBeLessThan(highest + 1e-3)
  })
})

describe('Boersma 1993', () => {
  it('divides by the autocorrelation of a Hann window in closed form, equation 8', () => {
    const n = 4096
    const lags = n / 2
    const products = new Float64Array(lags + 1)
    new LagProducts(n, lags, 'shrinking').of(hann(n), products)
    for (let lag = 0; lag <= lags; lag += 64) {
      const u = lag / n
      const closed = (1 - u) * (2 / 3 + Math.cos(2 * Math.PI * u) / 3) + Math.sin(2 * Math.PI * u) / (2 * Math.PI)
      // The closed form is an integral, the products are a sum whose integrand ends in zeros of second order: 1/n^2 apart.
      expect(products[lag] / products[0]).toBeCloseTo(closed, 6)
    }
  })

  it('finds 140 Hz in (1 + 0.3 sin 2 pi 140 t) sin 2 pi 280 t', () => {
    // The paper's example (from memory): the component at 280 Hz is far the strongest, yet the signal repeats only
    // 140 times a second, which is arithmetic.
    const signal = sampled(0.3, 48000, (timeS) => {
      const modulation = 1 + 0.3 * Math.sin(2 * Math.PI * 140 * timeS)
      return 0.3 * modulation * Math.sin(2 * Math.PI * 280 * timeS)
    })
    for (const { f0Hz } of readingsOf('acf', signal, 48000)) expect(Math.abs(cents(f0Hz, 140))).toBeLessThan(0.01)
  })

  it('with 4.5 periods a window a clean sine has over 37 dB of harmonics to noise, whatever its phase', () => {
    // Praat manual, "Sound: To Harmonicity (ac)...": ratios up to 37 dB are detected reliably with 4.5 periods a window.
    // A noiseless sine must therefore show at least as much.
    const hz = (4.5 * 48000) / 4096
    const tone = sampled(0.3, 48000, (timeS) => 0.5 * Math.cos(2 * Math.PI * hz * timeS))
    const readings = readingsOf('acf', tone, 48000, { hop: 67 })
    expect(readings.length).toBeGreaterThan(100)
    for (const { confidence } of readings) {
      expect(10 * Math.log10(confidence / (1 - confidence))).toBeGreaterThan(37)
    }
  })

  it.each([
    ['acf', 10],
    ['acf', 20],
    ['mpm', 10],
    ['mpm', 20],
  ])('%s: the peak height r of a tone in white noise is that of %d dB: 10 lg(r / (1 - r))', (id, snrDb) => {
    const sampleRateHz = 48000
    const noise = whiteNoise(5 * sampleRateHz)
    const level = Math.sqrt(0.5 * 0.3 ** 2 * 10 ** (-snrDb / 10))
    const signal = sampled(5, sampleRateHz, (timeS) => 0.3 * Math.sin(2 * Math.PI * 110 * timeS)).map(
      (sample, i) => sample + level * noise[i],
    )
    const heights = readingsOf(id, signal, sampleRateHz, { hop: 4096 }).map(({ confidence }) => confidence)
    const height = heights.reduce((sum, value) => sum + value, 0) / heights.length
    // The tallest of several noisy points stands a little too high. In a frame 1 - r scatters by about
    // sqrt(8 / 4096) of itself (noise power over 4096 samples, twice, doubled by the taper): 0.2 dB, and 58 frames are averaged.
    expect(Math.abs(10 * Math.log10(height / (1 - height)) - snrDb)).toBeLessThan(0.3)
  })
})

describe('a stiff string', () => {
  it.each(own)('%s reads the mean of its partials’ offsets weighted by power times k squared', (id) => {
    // Lag products are sum w_k cos(2 pi f_k t): the peak beside T moves by sum w_k k^2 c_k / sum w_k k^2 for small c_k.
    // Partial 2 is 3 c sharp of twice partial 1 here, with a quarter of its power: 3 * (4 / 4) / (1 + 1) = 1.5 c.
    const signal = sampled(1, 48000, (timeS) => {
      const second = 2 * 220 * 2 ** (3 / 1200)
      return 0.3 * Math.cos(2 * Math.PI * 220 * timeS) + 0.15 * Math.cos(2 * Math.PI * second * timeS)
    })
    // Products of one partial with the other do not vanish in a window of 19 periods: about 1/(2 pi 19) of 1.5 c at worst,
    // and the median over frames averages most of it.
    expect(Math.abs(cents(heardHz(readingsOf(id, signal, 48000)), 220) - 1.5)).toBeLessThan(0.02)
  })

  it.each(own)('%s: the low-pass in front leaves less of that', (id) => {
    const string = stiffString(110, 1e-4, 48000)
    const open = cents(heardHz(readingsOf(id, string, 48000)), 110)
    const closed = cents(heardHz(readingsOf(id, string, 48000, { lowPassHz: 300 })), 110)
    // Left: partials 1 to 3, partial 2 at 3 * 600 log2(1 + 3 B) / ... under 600 log2(1 + 8 B) = 0.69 c of partial 3.
    expect(closed).toBeGreaterThan(0)
    expect(closed).toBeLessThan(0.69)
    expect(open).toBeGreaterThan(2 * closed)
  })

  // Open guitar strings with stiffness of the order measured on guitars (Jarvelainen & Karjalainen 2005: within 1e-6 to 1e-3).
  const guitar = [
    [82.407, 1e-4],
    [110, 5e-5],
    [146.832, 4e-5],
    [195.998, 1e-4],
    [246.942, 6e-5],
    [329.628, 4e-5],
  ] as const

  it.each(guitar)('%d Hz: yin reads within 1 c of pitchy and of both pitchfinder twins in quiet', (hz, stiffness) => {
    const string = stiffString(hz, stiffness, 48000).subarray(0, 32768)
    const values = { hop: 4096 }
    const mine = readingsOf('yin', string, 48000, values)
    for (const outside of ['pitchy', 'pitchfinder-yin', 'pitchfinder-macleod']) {
      const differences = readingsOf(outside, string, 48000, values)
        .map(({ f0Hz }, i) => cents(mine[i].f0Hz, f0Hz))
        // Frames the outside package declines or reads an octave off are its own affair.
        .filter((difference) => Math.abs(difference) < 50)
      expect(differences.length, outside).toBeGreaterThan(0)
      expect(Math.abs(median(differences)), outside).toBeLessThan(1)
    }
  })
})

describe('outside packages get what a user would give them', () => {
  /** Five equal partials: sharp dips, and differences between neighbouring samples that pitchfinder's YIN can see. */
  const bright = (hz: number, timeS: number): number => {
    let sum = 0
    for (let k = 1; k <= 5; k++) sum += 0.2 * Math.sin(2 * Math.PI * k * hz * timeS + k)
    return sum
  }

  it('the sample rate: 110 Hz is 110 Hz at 44.1, 48 and 96 kHz', () => {
    for (const sampleRateHz of [44100, 48000, 96000]) {
      const tone = sampled(0.2, sampleRateHz, (timeS) => bright(110, timeS))
      const ids = ['pitchy', 'pitchfinder-yin', 'pitchfinder-macleod', 'pitchfinder-amdf', 'pitchfinder-acf2plus']
      for (const id of ids) {
        const heard = heardHz(readingsOf(id, tone, sampleRateHz, { hop: 8192 }))
        // AMDF answers in whole samples, 2.2 c each side at 44.1 kHz and one sample more where its search begins; a rate
        // taken for another would show as 147 c or more.
        expect(Math.abs(cents(heard, 110)), `${id} at ${sampleRateHz}`).toBeLessThan(6.5)
      }
    }
  })

  it('the range: AMDF hears a bass E1, which its own default of 82 Hz shuts out', () => {
    const tone = sampled(0.1, 48000, (timeS) => bright(41.203, timeS))
    // Whole samples of period: 1.5 c each.
    expect(Math.abs(cents(heardHz(readingsOf('pitchfinder-amdf', tone, 48000)), 41.203))).toBeLessThan(3)
  })
})
