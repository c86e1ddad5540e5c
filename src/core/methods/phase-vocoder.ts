/**
 * Frequency as the phase that a line of the spectrum gains from one sample to the next.
 *
 * The instantaneous frequency of a channel is the derivative of its phase (Flanagan & Golden 1966, "Phase vocoder", Bell
 * Syst. Tech. J. 45:1493-1509). Brown & Puckette 1993 (JASA 94:662-667; from memory) find the fundamental roughly and then
 * read its Hann-windowed line in two transforms one sample apart: f = rate (phi[n + 1] - phi[n]) / 2 pi. Here the rough
 * pitch comes from the harmonic with the most of its multiples standing among the peaks, and the line is transformed at its very
 * place. It reads the first partial itself, stiffness or not, and needs it: where it is weak, so is the reading.
 * Declines when the line is no more than noise has somewhere (16 times the median around it, as spectral-peak).
 */
import { FrameSpectrum } from './framespectrum.ts'
import { frameFields, framewise, lowPassFields } from './framewise.ts'
import { method } from './method.ts'
import { middleOf } from './middle.ts'

const noiseLikeRatio = 16
const surroundingBins = 40

/** Harmonics that speak for a rough pitch. */
const harmonics = 5

/** Low harmonics speak more, or a lone line would pass for a high one of a pitch that is not there. */
const weightRatio = 0.84

/** Rough pitches are tried in steps of half a bin at the highest harmonic. */
const stepsPerBin = 2

/** Powers under -50 dB re the strongest speak for nothing. */
const floorRatio = 1e-5

export const phaseVocoder = method({
  id: 'phase-vocoder',
  title: 'Phase vocoder',
  source: 'Flanagan & Golden 1966, Bell Syst. Tech. J. 45:1493-1509; Brown & Puckette 1993, JASA 94:662-667',
  family: 'blind',
  fields: { ...frameFields, ...lowPassFields },
  open(stream, values) {
    const { window } = values
    const { sampleRateHz, lowestHz } = stream
    const topHz = Math.min(stream.highestHz, (0.45 * sampleRateHz) / harmonics)
    const neededHz = harmonics * topHz + (surroundingBins * sampleRateHz) / window
    const spectrum = new FrameSpectrum(window - 1, sampleRateHz, neededHz)
    const { power, binHz, padding } = spectrum
    const stepHz = (binHz * padding) / (harmonics * stepsPerBin)
    const points = Math.max(1, Math.floor((topHz - lowestHz) / stepHz) + 1)
    const bins = Math.min(power.length, Math.ceil((harmonics * topHz) / binHz) + 2)
    const level = new Float64Array(bins)
    const around = new Float64Array(Math.min(power.length, Math.round(surroundingBins * padding)))
    // Nearest bins of each harmonic of a pitch and of the middle below it.
    const places = new Int32Array(2 * harmonics * points)
    for (let p = 0, i = 0; p < points; p++) {
      const f = lowestHz + p * stepHz
      for (let n = 1; n <= harmonics; n++) {
        places[i++] = Math.round((n * f) / binHz)
        places[i++] = Math.round(((n - 0.5) * f) / binHz)
      }
    }

    return framewise(stream, values, (frame, estimate) => {
      spectrum.load(frame)
      let strongest = 0
      for (let i = 0; i < bins; i++) if (power[i] > strongest) strongest = power[i]
      if (!(strongest > 0)) return
      for (let i = 0; i < bins; i++) level[i] = Math.log(Math.max(1, power[i] / (floorRatio * strongest)))
      let rough = 0
      let most = 0
      for (let p = 0, i = 0; p < points; p++) {
        let sum = 0
        let weight = 1
        for (let n = 1; n <= harmonics; n++) {
          sum += weight * (level[places[i]] - 0.5 * level[places[i + 1]])
          i += 2
          weight *= weightRatio
        }
        if (sum > most) {
          most = sum
          rough = lowestHz + p * stepHz
        }
      }
      const near = Math.max(1, Math.round(padding))
      const peak = spectrum.peakBin(Math.floor(rough / binHz) - near, Math.ceil(rough / binHz) + near)
      if (peak < 0) return
      const start = Math.max(0, Math.min(power.length - around.length, peak - (around.length >> 1)))
      for (let i = 0; i < around.length; i++) around[i] = power[start + i]
      const ratio = power[peak] / Math.max(Number.MIN_VALUE, middleOf(around))
      if (ratio < noiseLikeRatio) return
      const f0Hz = spectrum.advanceHz(frame, spectrum.parabolaHz(peak))
      if (!(f0Hz >= lowestHz && f0Hz <= stream.highestHz)) return
      estimate.f0Hz = f0Hz
      estimate.confidence = 1 - noiseLikeRatio / ratio
    })
  },
})
