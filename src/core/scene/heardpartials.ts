/**
 * The partials of a pluck as they are heard behind a sensor: their amplitudes times the sensor's gain, read off the spectra of
 * the string before and behind it. So whatever a sensor does, list and truth follow what really sounds.
 *
 * Good while the sensor is linear and the partials lie further apart than four bins (8 Hz); a partial that the string does not
 * have keeps its amplitude.
 */
import { RealFourier } from '../maths/fourier.ts'
import { hann } from '../maths/windows.ts'
import type { Partial } from './scene.ts'

/** Half the main lobe of the Hann window, and one bin for a partial between two. */
const reachBins = 3

export function heardPartials(
  partials: readonly Partial[],
  before: Float64Array,
  behind: Float64Array,
  sampleRateHz: number,
  onsetS: number,
): Partial[] {
  // At least half a second: a bin of 2 Hz at most.
  let size = 1024
  while (size < sampleRateHz / 2) size *= 2
  const from = Math.round(onsetS * sampleRateHz)
  const lens = lensOf(size)
  const wanted = spectrum(before, from, lens)
  const got = spectrum(behind, from, lens)
  const binHz = sampleRateHz / size
  return partials.map((partial) => {
    const centre = Math.round(partial.frequencyHz / binHz)
    const power = sumAround(wanted, centre)
    if (!(power > 0)) return partial
    return { ...partial, amplitude: partial.amplitude * Math.sqrt(sumAround(got, centre) / power) }
  })
}

/** A transform and its window are made once for each size: that takes longer than using them. */
interface Lens {
  readonly fourier: RealFourier
  readonly window: Float64Array
}
const lenses = new Map<number, Lens>()

function lensOf(size: number): Lens {
  const lens = lenses.get(size) ?? { fourier: new RealFourier(size), window: hann(size) }
  lenses.set(size, lens)
  return lens
}

function spectrum(samples: Float64Array, from: number, { fourier, window }: Lens): Float64Array {
  const part = new Float64Array(window.length)
  const to = Math.min(window.length, samples.length - from)
  for (let i = 0; i < to; i++) part[i] = window[i] * samples[from + i]
  const power = new Float64Array(window.length / 2 + 1)
  fourier.power(part, power)
  return power
}

function sumAround(power: Float64Array, centre: number): number {
  let sum = 0
  for (let bin = Math.max(0, centre - reachBins); bin <= Math.min(power.length - 1, centre + reachBins); bin++) {
    sum += power[bin]
  }
  return sum
}
