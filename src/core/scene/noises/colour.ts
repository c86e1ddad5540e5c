/**
 * Noise of any given power density: white noise through a symmetric filter made from the density's square root.
 *
 * Frequency sampling (Rabiner & Gold 1975, Theory and Application of Digital Signal Processing, section 3.15) with a Hann
 * window over the taps, which smooths the amplitude response over about 2 / `lengthS` hertz. Convolution by overlap-add.
 */

import { RealFourier } from '../../maths/fourier.ts'
import { pow } from '../../maths/portable.ts'
import type { Random } from '../../maths/random.ts'
import { hann } from '../../maths/windows.ts'

/** Their tables take longer to make than a take of noise; one of a size serves every noise in turn. */
const transforms = new Map<number, RealFourier>()

function transformOf(size: number): RealFourier {
  const made = transforms.get(size) ?? new RealFourier(size)
  transforms.set(size, made)
  return made
}

/** Taps of the filter, symmetric about the middle one; a power of two of them, the first is 0. */
export function colouringTaps(density: Float64Array): Float64Array {
  const size = 2 * (density.length - 1)
  const response = new Float64Array(size)
  transformOf(size).inverse(density.map(Math.sqrt), new Float64Array(density.length), response)
  const window = hann(size)
  return window.map((w, i) => w * response[(i + size / 2) % size])
}

/** Shortest filter that tells 20 Hz from 40. */
const shapeS = 0.1

/**
 * Taps for a power density given as a formula, over 20 Hz or so, with white noise `floorDb` re its densest part: no frequency
 * is so quiet that a string there could be measured without limit.
 */
export function colouredBy(sampleRateHz: number, floorDb: number, density: (hz: number) => number): Float64Array {
  let size = 2
  while (size < shapeS * sampleRateHz) size *= 2
  const shape = Float64Array.from({ length: size / 2 + 1 }, (_, bin) => density((bin * sampleRateHz) / size))
  const floor = pow(10, floorDb / 10) * shape.reduce((most, value) => Math.max(most, value), 0)
  return colouringTaps(shape.map((value) => value + floor))
}

/** |H|^2 of the taps on as many bins as a density has that makes them. */
export function responseOf(taps: Float64Array): Float64Array {
  const power = new Float64Array(taps.length / 2 + 1)
  transformOf(taps.length).power(taps, power)
  return power
}

/** Overwrites `target` with Gaussian noise of the taps' colour, steady from the first sample. */
export function fillColoured(target: Float64Array, taps: Float64Array, random: Random): void {
  const input = new Float64Array(target.length + taps.length)
  random.fillGaussian(input)
  const block = taps.length
  const fourier = transformOf(2 * block)
  const bins = block + 1
  const filterRe = new Float64Array(bins)
  const filterIm = new Float64Array(bins)
  fourier.forward(taps, filterRe, filterIm)
  const re = new Float64Array(bins)
  const im = new Float64Array(bins)
  const output = new Float64Array(2 * block)
  target.fill(0)
  for (let start = 0; start < input.length; start += block) {
    fourier.forward(input.subarray(start, start + block), re, im)
    for (let k = 0; k < bins; k++) {
      const turned = re[k] * filterRe[k] - im[k] * filterIm[k]
      im[k] = re[k] * filterIm[k] + im[k] * filterRe[k]
      re[k] = turned
    }
    fourier.inverse(re, im, output)
    // The first `taps.length` outputs have not heard a whole filter's length yet: they fall before the take.
    const shift = start - taps.length
    const from = Math.max(0, -shift)
    const to = Math.min(output.length, target.length - shift)
    for (let i = from; i < to; i++) target[shift + i] += output[i]
  }
}
