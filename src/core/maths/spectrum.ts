/**
 * Power density of a noise, estimated by Welch's method (Welch 1967, IEEE Trans. Audio Electroacoust. 15:70-73).
 *
 * One-sided, Hann window, half overlap: mean over segments of 2 |X|^2 / (rate * sum of w^2), not doubled at 0 Hz and at half
 * the rate. A tone is spread over the window's main lobe, four bins wide; what changes within a segment is averaged.
 */
import { RealFourier } from './fourier.ts'
import { hann } from './windows.ts'

/** A one-sided power density: its sum times `binHz` is the mean square of the signal. */
export interface Spectrum {
  /** Bin i speaks of i * binHz. */
  readonly binHz: number
  /** Take units squared per Hz, from 0 Hz to half the sample rate, both included. */
  readonly density: Float64Array
}

/**
 * @param segment samples a segment, a power of two. A shorter signal gets the largest power of two that fits (at least 16:
 * what is shorter still is followed by zeros).
 */
export function welch(samples: Float32Array, sampleRateHz: number, segment = 8192): Spectrum {
  let size = segment
  while (size > samples.length && size > 16) size /= 2
  const fourier = new RealFourier(size)
  const window = hann(size)
  const frame = new Float64Array(size)
  const power = new Float64Array(size / 2 + 1)
  const density = new Float64Array(size / 2 + 1)
  let segments = 0
  for (let start = 0; start === 0 || start + size <= samples.length; start += size / 2) {
    for (let i = 0; i < size; i++) frame[i] = start + i < samples.length ? window[i] * samples[start + i] : 0
    fourier.power(frame, power)
    for (let k = 0; k < density.length; k++) density[k] += power[k]
    segments++
  }
  let squares = 0
  for (const w of window) squares += w * w
  const oneSided = 2 / (sampleRateHz * squares * segments)
  for (let k = 0; k < density.length; k++) density[k] *= oneSided
  density[0] /= 2
  density[density.length - 1] /= 2
  return { binHz: sampleRateHz / size, density }
}

/** Straight line between the two bins around `hz`; the end bins serve what lies outside. NaN for NaN. */
export function densityAt(spectrum: Spectrum, hz: number): number {
  const { binHz, density } = spectrum
  const place = Math.min(Math.max(hz / binHz, 0), density.length - 1)
  if (Number.isNaN(place)) return Number.NaN
  const below = Math.min(Math.floor(place), density.length - 2)
  return density[below] + (place - below) * (density[below + 1] - density[below])
}

/** A new spectrum, `powerGain` times as dense. */
export const scaledSpectrum = (spectrum: Spectrum, powerGain: number): Spectrum => ({
  binHz: spectrum.binHz,
  density: spectrum.density.map((value) => value * powerGain),
})
