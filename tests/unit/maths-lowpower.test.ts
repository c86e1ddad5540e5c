/** The quick lower spectrum against the whole transform, and what folds into it. */
import { describe, expect, it } from 'vitest'
import { RealFourier } from '../../src/core/maths/fourier.ts'
import { HalfBand, widestPass } from '../../src/core/maths/halfband.ts'
import { LowPower } from '../../src/core/maths/lowpower.ts'
import { randomStream } from '../../src/core/maths/random.ts'
import { hann } from '../../src/core/maths/windows.ts'

/** What the file promises: a millionth of an amplitude, whose square a power loses or gains twice. */
const folded = 1e-6

/** Samples of a tone under a Hann window squared, which leaves nothing of it in other bands. */
const burst = (cyclesPerSample: number, length: number): Float64Array => {
  const window = hann(length)
  return Float64Array.from(window, (w, i) => w * w * Math.cos(2 * Math.PI * cyclesPerSample * i))
}

/** |sum of x exp(-i 2 pi f n)| */
function amplitudeAt(samples: Float64Array, cyclesPerSample: number): number {
  let re = 0
  let im = 0
  samples.forEach((value, i) => {
    re += value * Math.cos(2 * Math.PI * cyclesPerSample * i)
    im += value * Math.sin(2 * Math.PI * cyclesPerSample * i)
  })
  return Math.hypot(re, im)
}

/** Amplitude at a frequency after halving over that before. */
function gainAt(pass: number, cyclesPerSample: number): number {
  const length = 4096
  const filter = new HalfBand(pass)
  const input = burst(cyclesPerSample, length)
  const out = new Float64Array(length / 2 + filter.tailSamples)
  filter.halve(input, length, out, out.length)
  return amplitudeAt(out, 2 * cyclesPerSample) / amplitudeAt(input, cyclesPerSample)
}

describe.each([0.05, 0.1042, 0.1468, 0.18, 0.2083, widestPass])('halved with a band up to %f of the rate', (pass) => {
  const places = Array.from({ length: 12 }, (_, i) => 0.002 + ((pass - 0.002) * i) / 11)

  it('the band is whole', () => {
    // The two powers add up to one, so it is level within half the square of what folds; the rest is what rings on past the end.
    for (const place of places) expect(Math.abs(gainAt(pass, place) - 1)).toBeLessThan(folded)
  })

  it('what folds into it is under a millionth', () => {
    for (const place of places) expect(gainAt(pass, 0.5 - place)).toBeLessThan(folded)
  })
})

it.each([0, -0.1, 0.22, Number.NaN])('a band of %f is refused', (pass) => {
  expect(() => new HalfBand(pass)).toThrow('pass')
})

describe.each([
  [4096, 8192, 0.105],
  [4096, 8192, 0.148],
  [4095, 8192, 0.105],
  [1000, 2048, 0.1],
  [1024, 2048, 0.05],
  [600, 2048, 0.2],
  [256, 512, 0.1],
  [4096, 8192, 0.4],
])('the lower spectrum of %i samples in %i, up to %f', (length, size, top) => {
  it('is that of the whole transform', () => {
    const samples = new Float64Array(length)
    randomStream(3, 'low', length).fillGaussian(samples)
    const window = hann(length)
    const bins = Math.floor(top * size) + 1
    const whole = new Float64Array(size / 2 + 1)
    const low = new Float64Array(bins)
    const spectrum = new LowPower(length, size, top)
    // Twice, so that nothing of the first may shine through.
    for (let round = 0; round < 2; round++) {
      for (let i = 0; i < length; i++) spectrum.input[i] = (round === 0 ? 3 : samples[i]) * window[i]
      spectrum.into(low)
    }
    for (let i = 0; i < length; i++) samples[i] *= window[i]
    new RealFourier(size).power(samples, whole)
    const loudest = Math.sqrt(Math.max(...whole))
    for (let k = 0; k < bins; k++) {
      // What folds is in the worst case in step with what is there; one millionth a halving, of which there are at most four here.
      expect(Math.abs(Math.sqrt(low[k]) - Math.sqrt(whole[k]))).toBeLessThan(4 * folded * loudest)
    }
  })
})
