/**
 * The cepstrum: the spectrum of a sound with many harmonics is itself a wave along the frequency axis, and the length of that
 * wave tells the period.
 *
 * Noll 1967, "Cepstrum pitch determination", JASA 41:293-309 (abstract: "the power spectrum of the logarithm of the power
 * spectrum"); the rest from memory: Hamming window, log |X|^2 taken as an even function, its cosine transform C(q) (eqs. 6 to
 * 9), squared; weights that rise from 1 at 1 ms to 5 at 15 ms of a 40 ms window, here at the same parts of the window; highest
 * peak in the period's range; where a peak stands at a whole part of that quefrency, that one (the paper halves doubled
 * periods; lines narrower than in speech repeat more often); a threshold on height. A trough is no peak, so C < 0 counts
 * as 0. Parabola between points an eighth of a peak apart or less. Two settings for strings: the paper hears up to 4 kHz, where
 * a stiff string's partials are no longer evenly spaced (E2 would read some 15 c sharp, bass E1 over 40); and a floor under
 * the logarithm, or the gaps between partials, which hold nothing but the room, would say as much as the partials.
 * Wants three partials or more below `topHz` and three or more periods a window. A stiff string reads sharp.
 */
import type { Field } from '../fields.ts'
import { RealFourier } from '../maths/fourier.ts'
import { hamming } from '../maths/windows.ts'
import { Problem } from '../problem.ts'
import { FrameSpectrum } from './framespectrum.ts'
import { frameFields, framewise, lowPassFields } from './framewise.ts'
import { method } from './method.ts'

const fields = {
  ...frameFields,
  topHz: {
    default: 1500,
    min: 200,
    max: 20000,
    unit: 'Hz',
    help: 'Nothing above is heard. The paper has 4000 Hz; high partials of a stiff string make the period look short.',
  },
  floorDb: {
    default: 25,
    min: 6,
    max: 120,
    unit: 'dB',
    help: 'Partials this far under the strongest say nothing, and neither do the gaps between them.',
  },
  threshold: {
    default: 0.2,
    min: 0,
    max: 5,
    unit: 'ratio',
    help: 'Declines when the wave in the log spectrum is lower than this, in nepers of power. White noise reaches 0.28 in one frame of 20.',
  },
  ...lowPassFields,
} as const satisfies Record<string, Field>

/** At a whole part of the highest peak's quefrency, a peak of this share of its square is the period. */
const partShare = 0.5

/** The paper's weights: 1 at 1 ms and 5 at 15 ms of 40 ms. */
const weightAt = (partOfWindow: number): number => 1 + (4 * (partOfWindow - 1 / 40)) / (14 / 40)

export const cepstrum = method({
  id: 'cepstrum',
  title: 'Cepstrum',
  source: 'Noll 1967, JASA 41:293-309',
  family: 'blind',
  fields,
  open(stream, values) {
    const { window, threshold } = values
    const { sampleRateHz, lowestHz, highestHz } = stream
    const topHz = Math.min(values.topHz, 0.45 * sampleRateHz)
    const spectrum = new FrameSpectrum(window, sampleRateHz, topHz, hamming(window))
    const { power, binHz } = spectrum
    const bins = Math.min(power.length, Math.floor(topHz / binHz) + 1)
    // A peak of C is as wide as the band is short: eight points and more.
    let size = 16
    while (size < 8 * bins) size *= 2
    const fourier = new RealFourier(size)
    const stepS = 1 / (size * binHz)
    const first = Math.max(1, Math.floor(1 / (highestHz * stepS)))
    const longestS = Math.min(1 / lowestHz, window / 2 / sampleRateHz)
    const last = Math.min(size / 2 - 1, Math.ceil(longestS / stepS))
    if (last <= first) {
      throw new Problem(`${window} samples hear nothing below ${Math.ceil((2 * sampleRateHz) / window)} Hz`, 'window')
    }
    const weights = Float64Array.from({ length: last + 2 }, (_, j) => weightAt((j * stepS * sampleRateHz) / window))
    // Half a Hamming window over the band: its upper edge would stand beside every peak. 0 Hz counts once, the rest twice.
    const fade = hamming(2 * bins).subarray(bins)
    fade[0] /= 2
    const fadeSum = fade.reduce((sum, weight) => sum + weight, 0)
    const level = new Float64Array(bins)
    const curve = new Float64Array(size / 2 + 1)
    const unused = new Float64Array(size / 2 + 1)
    const squares = new Float64Array(last + 2)
    const halfPeak = Math.ceil(size / bins / 2)
    const floorRatio = 10 ** (-values.floorDb / 10)

    const isPeak = (j: number): boolean => squares[j] >= squares[j - 1] && squares[j] > squares[j + 1]

    /** The shortest whole part of `highest` at which a peak stands; itself if none does. */
    const periodOf = (highest: number): number => {
      for (let n = Math.floor(highest / first); n >= 2; n--) {
        const to = Math.min(last, Math.ceil(highest / n + halfPeak))
        let peak = 0
        for (let j = Math.max(first, Math.floor(highest / n - halfPeak)); j <= to; j++) {
          if (isPeak(j) && squares[j] > squares[peak]) peak = j
        }
        if (peak > 0 && squares[peak] >= partShare * squares[highest]) return peak
      }
      return highest
    }

    return framewise(stream, values, (frame, estimate) => {
      spectrum.load(frame)
      let strongest = 0
      for (let k = 0; k < bins; k++) if (power[k] > strongest) strongest = power[k]
      if (!(strongest > 0)) return
      const scale = 1 / strongest
      let mean = 0
      for (let k = 0; k < bins; k++) {
        level[k] = Math.log(power[k] * scale + floorRatio)
        mean += level[k] * fade[k]
      }
      mean /= fadeSum
      for (let k = 0; k < bins; k++) level[k] = (level[k] - mean) * fade[k]
      fourier.forward(level, curve, unused)
      squares[0] = 0
      for (let j = 1; j < squares.length; j++) squares[j] = curve[j] > 0 ? curve[j] * curve[j] : 0
      let highest = 0
      for (let j = first; j <= last; j++) {
        if (isPeak(j) && squares[j] * weights[j] > squares[highest] * weights[highest]) highest = j
      }
      if (highest === 0) return
      const period = periodOf(highest)
      const height = curve[period] / fadeSum
      if (height < threshold) return
      const bend = curve[period - 1] - 2 * curve[period] + curve[period + 1]
      const turn = bend < 0 ? (0.5 * (curve[period - 1] - curve[period + 1])) / bend : 0
      const f0Hz = 1 / ((period + Math.max(-1, Math.min(1, turn))) * stepS)
      if (!(f0Hz >= lowestHz && f0Hz <= highestHz)) return
      estimate.f0Hz = f0Hz
      estimate.confidence = 1 - threshold / height
    })
  },
})
