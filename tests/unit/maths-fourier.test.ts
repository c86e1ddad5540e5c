import { describe, expect, it } from 'vitest'
import { ComplexFourier, RealFourier } from '../../src/core/maths/fourier.ts'
import { randomStream } from '../../src/core/maths/random.ts'

const noise = (n: number): Float64Array => {
  const samples = new Float64Array(n)
  randomStream(1, 'fourier', n).fillGaussian(samples)
  return samples
}

/** Largest rounding error of a transform: log2(n) stages, each a few roundings of values of size sqrt(n) (Higham 2002, 24.1). */
const tolerance = (n: number): number => 4 * Math.log2(n) * Number.EPSILON * Math.sqrt(n)

/** The definition, angles reduced in whole numbers. */
function byDefinition(x: Float64Array, k: number): { re: number; im: number } {
  let re = 0
  let im = 0
  for (let i = 0; i < x.length; i++) {
    const angle = (2 * Math.PI * ((k * i) % x.length)) / x.length
    re += x[i] * Math.cos(angle)
    im -= x[i] * Math.sin(angle)
  }
  return { re, im }
}

describe('real transform', () => {
  // Odd and even powers of two: the package ends in passes of 2 or 4.
  it.each([16, 32, 64, 128, 256, 512, 1024])('of %i samples is the sum it stands for', (n) => {
    const x = noise(n)
    const re = new Float64Array(n / 2 + 1)
    const im = new Float64Array(n / 2 + 1)
    new RealFourier(n).forward(x, re, im)
    for (let k = 0; k <= n / 2; k++) {
      const expected = byDefinition(x, k)
      // The plain sum errs by n roundings of random sign, sqrt(n) * sqrt(n) in all at worst.
      expect(Math.abs(re[k] - expected.re)).toBeLessThan(tolerance(n) + n * Number.EPSILON)
      expect(Math.abs(im[k] - expected.im)).toBeLessThan(tolerance(n) + n * Number.EPSILON)
    }
    expect(im[0]).toBe(0)
    expect(im[n / 2]).toBe(0)
  })

  it.each([16, 32, 64, 4096, 8192, 16_384])('of %i samples comes back and keeps its energy', (n) => {
    const x = noise(n)
    const fourier = new RealFourier(n)
    const re = new Float64Array(n / 2 + 1)
    const im = new Float64Array(n / 2 + 1)
    const back = new Float64Array(n)
    const power = new Float64Array(n / 2 + 1)
    fourier.forward(x, re, im)
    fourier.inverse(re, im, back)
    fourier.power(x, power)
    let energy = 0
    for (const value of x) energy += value * value
    let sum = -power[0] - power[n / 2]
    for (const value of power) sum += 2 * value
    // Parseval; sums of n squares, relative rounding n * epsilon at the very worst.
    expect(Math.abs(sum / n / energy - 1)).toBeLessThan(n * Number.EPSILON)
    for (let i = 0; i < n; i++) expect(Math.abs(back[i] - x[i])).toBeLessThan(tolerance(n))
  })

  it.each([2, 9, 16, 17, 18, 30, 32])(
    'of 64 samples answers the same power when only %i bins are asked for',
    (bins) => {
      const whole = new Float64Array(33)
      const first = new Float64Array(bins)
      const fourier = new RealFourier(64)
      fourier.power(noise(64), whole)
      fourier.power(noise(64), first)
      expect(first).toEqual(whole.slice(0, bins))
    },
  )

  it('of a cosine on a bin is n / 2 there and nothing elsewhere', () => {
    const x = Float64Array.from({ length: 64 }, (_, i) => Math.cos((2 * Math.PI * 5 * i) / 64))
    const power = new Float64Array(33)
    new RealFourier(64).power(x, power)
    power.forEach((value, k) => {
      expect(Math.abs(value - (k === 5 ? 32 ** 2 : 0))).toBeLessThan(32 ** 2 * tolerance(64))
    })
  })

  it('takes any kind of array; short ones are followed by zeros, long ones cut', () => {
    const fourier = new RealFourier(16)
    const spectrumOf = (input: Float32Array | Float64Array | number[]): number[] => {
      const re = new Float64Array(9)
      const im = new Float64Array(9)
      fourier.forward(input, re, im)
      return [...re, ...im]
    }
    const padded = [1, 2, 3, 0, 0, 0, 0, 0, 0, 0, 0, 0, 0, 0, 0, 0]
    const expected = spectrumOf(padded)
    // What was there before must not shine through.
    spectrumOf(noise(16))
    expect(spectrumOf([1, 2, 3])).toEqual(expected)
    expect(spectrumOf(Float32Array.of(1, 2, 3))).toEqual(expected)
    expect(spectrumOf(Float64Array.from([...padded, 9, 9]))).toEqual(expected)
    padded.forEach((value, i) => {
      fourier.input[i] = value
    })
    expect(spectrumOf(fourier.input)).toEqual(expected)
  })

  it('leaves its input and the spectrum given to inverse alone', () => {
    const fourier = new RealFourier(32)
    const x = noise(32)
    const re = new Float64Array(17)
    const im = new Float64Array(17)
    fourier.forward(x, re, im)
    expect(x).toEqual(noise(32))
    const before = [re.slice(), im.slice()]
    fourier.inverse(re, im, new Float64Array(32))
    expect([re, im]).toEqual(before)
  })

  it('NaN goes in and comes out', () => {
    const re = new Float64Array(9)
    new RealFourier(16).forward([Number.NaN], re, new Float64Array(9))
    expect(re[3]).toBeNaN()
  })

  it.each([0, 8, 17, 24, -16, Number.NaN, 16.5])('refuses size %f', (size) => {
    expect(() => new RealFourier(size)).toThrow('power of two')
  })
})

it('autocorrelation is the sum of lagged products', () => {
  const out = new Float64Array(16)
  new RealFourier(16).autocorrelate([1, 2, 3, -1], out)
  // By hand: 1 + 4 + 9 + 1; 2 + 6 - 3; 3 - 2; -1; then nothing until the negative lags come round from the end.
  const expected = [15, 5, 1, -1, 0, 0, 0, 0, 0, 0, 0, 0, 0, -1, 1, 5]
  out.forEach((value, lag) => {
    expect(Math.abs(value - expected[lag])).toBeLessThan(15 * tolerance(16))
  })
})

it.each([8, 16, 32, 64, 128])('complex transform of %i is the sum it stands for', (n) => {
  const z = noise(2 * n)
  const fourier = new ComplexFourier(n)
  z.forEach((value, i) => {
    fourier.input[i] = value
  })
  fourier.forward()
  const real = byDefinition.bind(
    null,
    z.filter((_, i) => i % 2 === 0),
  )
  const imaginary = byDefinition.bind(
    null,
    z.filter((_, i) => i % 2 === 1),
  )
  for (let k = 0; k < n; k++) {
    expect(Math.abs(fourier.output[2 * k] - (real(k).re - imaginary(k).im))).toBeLessThan(2 * tolerance(n))
    expect(Math.abs(fourier.output[2 * k + 1] - (real(k).im + imaginary(k).re))).toBeLessThan(2 * tolerance(n))
  }
})
