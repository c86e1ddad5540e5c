/**
 * The strongest line of the spectrum is the note.
 *
 * The simplest spectral method, and right whenever the first partial is the strongest; where it is not (a low string heard
 * close to the bridge) it reads the partial that is, an octave or a twelfth up. The line's frequency itself is read finely
 * (framespectrum.ts), so a settled first partial comes out without the sharpness that stiffness gives to period followers.
 * Declines when the strongest line is no more than noise has somewhere: powers of noise are exponentially distributed, so
 * one of n bins exceeds r times the median around it with probability n 2^-r (16: once in 250 frames of 240 bins).
 */

import { FrameSpectrum } from './framespectrum.ts'
import { frameFields, framewise, lowPassFields } from './framewise.ts'
import { method } from './method.ts'
import { middleOf } from './middle.ts'

const noiseLikeRatio = 16

/** The median is taken over this many unpadded bins about the peak: wider than a line, narrower than a room's tilt. */
const surroundingBins = 40

export const spectralPeak = method({
  id: 'spectral-peak',
  title: 'Spectral peak',
  source: 'own; frequency from a Hann line: Grandke 1983, IEEE Trans. Instrum. Meas. 32:350-355',
  family: 'blind',
  fields: { ...frameFields, ...lowPassFields },
  open(stream, values) {
    const { sampleRateHz, highestHz } = stream
    const spectrum = new FrameSpectrum(
      values.window,
      sampleRateHz,
      highestHz + (surroundingBins * sampleRateHz) / values.window,
    )
    const from = Math.max(1, Math.ceil(stream.lowestHz / spectrum.binHz))
    const to = Math.min(spectrum.power.length - 2, Math.floor(highestHz / spectrum.binHz))
    const around = new Float64Array(Math.min(spectrum.power.length, Math.round(surroundingBins * spectrum.padding)))
    return framewise(stream, values, (frame, estimate) => {
      spectrum.load(frame)
      const peak = spectrum.peakBin(from, to)
      if (peak < 0) return
      const start = Math.max(0, Math.min(spectrum.power.length - around.length, peak - (around.length >> 1)))
      for (let i = 0; i < around.length; i++) around[i] = spectrum.power[start + i]
      const ratio = spectrum.power[peak] / Math.max(Number.MIN_VALUE, middleOf(around))
      if (ratio < noiseLikeRatio) return
      const hz = spectrum.refineHz(spectrum.parabolaHz(peak))
      if (!(hz >= stream.lowestHz && hz <= highestHz)) return
      estimate.f0Hz = hz
      estimate.confidence = 1 - noiseLikeRatio / ratio
    })
  },
})
