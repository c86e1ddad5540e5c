import { describe, expect, it } from 'vitest'
import {
  besselI0,
  blackman,
  blackmanHarris,
  equivalentNoiseBandwidthBins,
  hamming,
  hann,
  kaiser,
  scallopLossDb,
} from '../../src/core/maths/windows.ts'

const rectangle = (n: number): Float64Array => new Float64Array(n).fill(1)

describe('cost of a window', () => {
  // Equivalent noise bandwidth in bins and scallop loss in dB as Harris 1978 (Proc. IEEE 66:51-83, Table I) prints them
  // (from memory), and computed from the coefficients to three digits. Harris's Hamming scallop, 1.78, differs from what the
  // coefficients give by 0.03 dB; the table is compared with that slack.
  it.each([
    ['rectangle', rectangle, 1.0, 3.922, 1.0, 3.92],
    ['hann', hann, 1.5, 1.424, 1.5, 1.42],
    ['hamming', hamming, 1.363, 1.751, 1.36, 1.78],
    ['blackman', blackman, 1.727, 1.099, 1.73, 1.1],
    ['blackmanHarris', blackmanHarris, 2.004, 0.826, 2.0, 0.83],
  ])('%s', (_, make, bandwidth, scallop, harrisBandwidth, harrisScallop) => {
    const window = make(4096)
    const foundBandwidth = equivalentNoiseBandwidthBins(window)
    const foundScallop = scallopLossDb(window)
    // Half a unit of the last digit.
    expect(Math.abs(foundBandwidth - bandwidth)).toBeLessThan(0.0005)
    expect(Math.abs(foundScallop - scallop)).toBeLessThan(0.0005)
    expect(Math.abs(foundBandwidth - harrisBandwidth)).toBeLessThan(0.006)
    expect(Math.abs(foundScallop - harrisScallop)).toBeLessThan(0.03)
  })

  // Closed forms: bandwidth of a cosine sum is 1 + sum of (a_k / a_0)^2 / 2, so 3/2 for hann; its scallop is 20 lg (3 pi / 8).
  it('hann, closed form', () => {
    expect(Math.abs(equivalentNoiseBandwidthBins(hann(64)) - 1.5)).toBeLessThan(1e-14)
    // Aliasing of the window's own spectrum falls as n^-2.
    expect(Math.abs(scallopLossDb(hann(16_384)) - 20 * Math.log10((3 * Math.PI) / 8))).toBeLessThan(1e-7)
  })
})

describe('samples of a window', () => {
  const close = (found: Float64Array, expected: readonly number[]): void => {
    expect(found.length).toBe(expected.length)
    found.forEach((value, i) => {
      // Printed to 16 digits; two roundings a term.
      expect(Math.abs(value - expected[i])).toBeLessThan(1e-15)
    })
  }

  // scipy.signal.windows.get_window(name, 8, fftbins=True), scipy 1.17.1.
  it('periodic, as scipy has them', () => {
    const third = [0, 0.14644660940672627, 0.5, 0.8535533905932737, 1, 0.8535533905932737, 0.5, 0.14644660940672627]
    close(hann(8), third)
    close(
      hamming(8),
      [0.08, 0.21473088065418822, 0.54, 0.865269119345812, 1, 0.865269119345812, 0.54, 0.21473088065418822],
    )
    close(
      blackman(8),
      [0, 0.06644660940672624, 0.34, 0.7735533905932738, 1, 0.7735533905932738, 0.34, 0.06644660940672624],
    )
    close(
      blackmanHarris(8),
      [6e-5, 0.021735837018679628, 0.21747, 0.6957641629813204, 1, 0.6957641629813204, 0.21747, 0.021735837018679628],
    )
  })

  // scipy.signal.windows.kaiser(7, 8.6, sym=True), scipy 1.17.1.
  it('kaiser, as scipy has it', () => {
    const half = [0.0013325139979024198, 0.13040194654166437, 0.6304119273359405]
    close(kaiser(7, 8.6), [...half, 1, ...half.toReversed()])
    expect(kaiser(1, 8.6)).toEqual(Float64Array.of(1))
  })

  // scipy.special.i0, scipy 1.17.1; the last at the beta of the resampler.
  it('bessel function', () => {
    expect(Math.abs(besselI0(0.5) / 1.0634833707413234 - 1)).toBeLessThan(1e-15)
    expect(Math.abs(besselI0(5) / 27.239871823604442 - 1)).toBeLessThan(1e-15)
    expect(Math.abs(besselI0(12.27) / 24541.62941406917 - 1)).toBeLessThan(3e-15)
    expect(besselI0(0)).toBe(1)
  })
})
