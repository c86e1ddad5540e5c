/**
 * The five detectors of the package pitchfinder behind one adapter, each as a user gets it: the whole window is handed
 * over, the sample rate is always told (they assume 44.1 kHz), the range where there is a setting for it. An answer
 * outside the stream's range is shown as declined. They allocate on every call, and all but the wavelet need far longer
 * for a frame than the default hop lasts. What each cannot do (read in version 2.3.4):
 * - YIN uses the largest power of two *below* the window's length (2048 of 4096), compares half of it: lowest pitch
 *   rate / 1024 at 4096, 47 Hz at 48 kHz. The rest of the window is waited for but not used. Time grows as its square.
 *   It counts the first difference as 1 whatever it is: below some level every sound reads as a lag of 2 to 3 samples.
 * - Macleod answers nothing under 80 Hz, whatever the window. Time grows as the window's square.
 * - AMDF answers in whole samples of period (5 c at 138 Hz, 51 c at 1400 Hz at 48 kHz) and rounds sums to whole numbers,
 *   so soft sounds read differently from loud ones. It looks for the dip's bottom only half a shortest period beyond the
 *   place where the curve first is low: a broad dip reads sharp (a pure 41 Hz tone by 40 c).
 * - ACF2PLUS answers nothing under an rms of 0.01 and cuts the window at samples under 0.2: it depends on level. It does
 *   not correct for the shrinking overlap of long lags.
 * - DynamicWavelet counts distances between extremes in whole samples, finds nothing above 3 kHz, wants a low-passed sound.
 * Only Macleod gives a probability; the others' confidence is 1 when they answer.
 */
import { ACF2PLUS, AMDF, DynamicWavelet, Macleod, YIN } from 'pitchfinder'
import type { Fields, Values } from '../fields.ts'
import { type Framing, frameFields, framewise, lowPassFields } from './framewise.ts'
import { type Method, method, type Stream } from './method.ts'

const fields = { ...frameFields, ...lowPassFields } as const

type Detector = (frame: Float32Array) => number | null | { readonly freq: number; readonly probability: number }

interface Outside<F extends Fields> {
  readonly id: string
  readonly title: string
  readonly source: string
  readonly fields: F
  detector(stream: Stream, values: Values<F>): Detector
  /** Samples from the window's start that the detector looks at; absent: all. */
  used?(window: number): number
}

function outside<F extends Fields & typeof fields>({ detector, used, ...description }: Outside<F>): Method {
  return method<F>({
    ...description,
    family: 'blind',
    open(stream, values) {
      const { window } = values as Framing
      const detect = detector(stream, values)
      const atOffset = (used?.(window) ?? window) / 2
      return framewise(stream, values as Framing, (frame, estimate) => {
        const answer = detect(frame)
        const f0Hz = typeof answer === 'number' ? answer : (answer?.freq ?? Number.NaN)
        if (!(f0Hz >= stream.lowestHz && f0Hz <= stream.highestHz)) return
        estimate.f0Hz = f0Hz
        estimate.confidence = answer !== null && typeof answer === 'object' ? clamped(answer.probability) : 1
        estimate.atOffset = atOffset
      })
    },
  })
}

const clamped = (probability: number): number => Math.max(0, Math.min(1, probability))

export const pitchfinderYin = outside({
  id: 'pitchfinder-yin',
  title: 'pitchfinder YIN (outside package)',
  source: 'npm package pitchfinder 2; after de Cheveigné & Kawahara 2002',
  fields: {
    ...fields,
    threshold: {
      default: 0.1,
      min: 0.01,
      max: 0.9,
      unit: 'ratio',
      help: 'First dip below this; the package’s default.',
    },
  } as const,
  detector: ({ sampleRateHz }, { threshold }) => YIN({ sampleRate: sampleRateHz, threshold }),
  used: (window) => 2 ** (Math.ceil(Math.log2(window)) - 1),
})

export const pitchfinderMacleod = outside({
  id: 'pitchfinder-macleod',
  title: 'pitchfinder Macleod (outside package)',
  source: 'npm package pitchfinder 2; after McLeod & Wyvill 2005',
  fields: {
    ...fields,
    cutoff: { default: 0.97, min: 0.5, max: 1, unit: 'ratio', help: 'First peak above this; the package’s default.' },
  } as const,
  detector: ({ sampleRateHz }, { window, cutoff }) => Macleod({ sampleRate: sampleRateHz, bufferSize: window, cutoff }),
})

export const pitchfinderAmdf = outside({
  id: 'pitchfinder-amdf',
  title: 'pitchfinder AMDF (outside package)',
  source: 'npm package pitchfinder 2; average magnitude difference, Ross et al. 1974',
  fields,
  detector: ({ sampleRateHz, lowestHz, highestHz }) =>
    AMDF({ sampleRate: sampleRateHz, minFrequency: lowestHz, maxFrequency: highestHz }),
})

export const pitchfinderAcf2plus = outside({
  id: 'pitchfinder-acf2plus',
  title: 'pitchfinder ACF2PLUS (outside package)',
  source: 'npm package pitchfinder 2; plain autocorrelation',
  fields,
  detector: ({ sampleRateHz }) => ACF2PLUS({ sampleRate: sampleRateHz }),
})

export const pitchfinderWavelet = outside({
  id: 'pitchfinder-wavelet',
  title: 'pitchfinder DynamicWavelet (outside package)',
  source: 'npm package pitchfinder 2; fast lifting wavelet, Larson & Maddox 2005',
  fields,
  detector: ({ sampleRateHz }) => DynamicWavelet({ sampleRate: sampleRateHz }),
})
