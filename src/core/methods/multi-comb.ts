/**
 * Combs laid over the spectrum's peaks: every strong peak is tried as harmonic 1, 2, 3 ... of a pitch.
 *
 * The family of methods that match a comb to spectral peaks (Martin 1982, "Comparison of pitch detection by cepstrum and
 * spectral comb analysis", ICASSP; teeth falling with their number: from memory). The strongest peaks are kept; each, divided
 * by 1..n, is a candidate; its teeth collect the roots of the peaks within a third of a semitone and pay for teeth that find
 * nothing below the highest peak. The winner is the mean of its peaks over their numbers, weighed by power, which makes it fine
 * on a lone first partial, and a stiff string is read sharp by less than a period follower does.
 */
import type { Field } from '../fields.ts'
import { FrameSpectrum } from './framespectrum.ts'
import { frameFields, framewise, lowPassFields } from './framewise.ts'
import { method } from './method.ts'

const fields = {
  ...frameFields,
  peaks: {
    default: 12,
    min: 1,
    max: 40,
    unit: 'count',
    whole: true,
    help: 'How many of the strongest peaks are looked at.',
  },
  harmonics: { default: 6, min: 1, max: 20, unit: 'count', whole: true, help: 'Up to which harmonic a peak may be.' },
  ...lowPassFields,
} as const satisfies Record<string, Field>

/** Teeth are this wide to either side: partial 10 of the stiffest guitar string lies 17 c high. */
const toothCents = 33
const toothRatio = 2 ** (toothCents / 1200)

/** Above this, stiff strings leave the grid and rooms hiss. */
const topHz = 5000

/** Peaks 50 dB under the strongest are side lobes or hiss. */
const floorRatio = 1e-5

/** An empty tooth costs what a peak of this share of the strongest's amplitude would bring. */
const emptyCost = 0.04

export const multiComb = method({
  id: 'multi-comb',
  title: 'Combs over peaks',
  source: 'after Martin 1982, ICASSP',
  family: 'blind',
  fields,
  open(stream, values) {
    const spectrum = new FrameSpectrum(values.window, stream.sampleRateHz, topHz)
    const { power, binHz } = spectrum
    const last = Math.min(power.length - 2, Math.floor(topHz / binHz))
    const first = Math.max(1, Math.ceil(stream.lowestHz / binHz))
    const bin = new Int32Array(values.peaks)
    const hz = new Float64Array(values.peaks)
    const height = new Float64Array(values.peaks)

    /** The strongest peaks, by falling power; answers how many. */
    const findPeaks = (): number => {
      let count = 0
      for (let i = first; i <= last; i++) {
        if (!(power[i] > power[i - 1] && power[i] >= power[i + 1])) continue
        if (count === values.peaks && power[i] <= power[bin[count - 1]]) continue
        let place = count < values.peaks ? count++ : count - 1
        while (place > 0 && power[bin[place - 1]] < power[i]) {
          bin[place] = bin[place - 1]
          place--
        }
        bin[place] = i
      }
      while (count > 0 && power[bin[count - 1]] < floorRatio * power[bin[0]]) count--
      return count
    }

    /** Peak nearest tooth n of a pitch; -1: none within the tooth. */
    const toothOf = (toothHz: number, count: number): number => {
      let nearest = -1
      let least = toothRatio
      for (let p = 0; p < count; p++) {
        const ratio = hz[p] > toothHz ? hz[p] / toothHz : toothHz / hz[p]
        if (ratio < least) {
          least = ratio
          nearest = p
        }
      }
      return nearest
    }

    const score = (f0Hz: number, count: number, highestHz: number): number => {
      let sum = 0
      for (let n = 1; n * f0Hz < highestHz * toothRatio; n++) {
        const peak = toothOf(n * f0Hz, count)
        sum += (peak < 0 ? -emptyCost : height[peak]) / Math.sqrt(n)
      }
      return sum
    }

    return framewise(stream, values, (frame, estimate) => {
      spectrum.load(frame)
      const count = findPeaks()
      if (count === 0) return
      let highestHz = 0
      let all = 0
      for (let p = 0; p < count; p++) {
        hz[p] = spectrum.parabolaHz(bin[p])
        // The fourth root of power: one loud line must not outweigh a whole comb.
        height[p] = Math.sqrt(Math.sqrt(power[bin[p]] / power[bin[0]]))
        all += height[p]
        if (hz[p] > highestHz) highestHz = hz[p]
      }
      let best = 0
      let bestScore = 0
      for (let p = 0; p < count; p++) {
        for (let n = 1; n <= values.harmonics && hz[p] >= n * stream.lowestHz; n++) {
          const candidate = hz[p] / n
          if (candidate > stream.highestHz) continue
          const sum = score(candidate, count, highestHz)
          if (sum <= bestScore) continue
          bestScore = sum
          best = candidate
        }
      }
      if (!(bestScore > 0)) return
      let sum = 0
      let weights = 0
      for (let n = 1; n * best < highestHz * toothRatio; n++) {
        const peak = toothOf(n * best, count)
        if (peak < 0) continue
        const weight = power[bin[peak]]
        sum += (weight * hz[peak]) / n
        weights += weight
      }
      const f0Hz = sum / weights
      if (!(f0Hz >= stream.lowestHz && f0Hz <= stream.highestHz)) return
      estimate.f0Hz = f0Hz
      estimate.confidence = Math.min(1, bestScore / all)
    })
  },
})
