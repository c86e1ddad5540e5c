/**
 * The pitch detectors of the package aubiojs (aubio 0.5 compiled to WebAssembly) as methods, for measuring only: the package
 * is a devDependency under GPL-3.0-or-later and is never shipped.
 *
 * Each is heard as a user gets it: it is handed one hop at a time and keeps its own window; tolerance and silence gate stay at
 * the package's defaults (silence gate -50 dB). Fed `hop` samples or the whole window, YIN, YINFFT, fast YIN, Schmitt and
 * specacf answer the same (checked); the two combs remember earlier frames. An answer outside the stream's range is shown as
 * declined. The compiled heap of 16 MB does not grow and holds some fifty detectors of 4096 samples, so only the newest few
 * live: an older listener declines. `loadAubio` must have been awaited before any is opened. A hop must divide the window.
 */
import aubiojs from 'aubiojs'
import { type Framing, frameFields, framewise, lowPassFields } from '../../../src/core/methods/framewise.ts'
import { type Method, method } from '../../../src/core/methods/method.ts'
import { Problem } from '../../../src/core/problem.ts'

const fields = { ...frameFields, ...lowPassFields } as const

type Algorithm = 'yin' | 'yinfft' | 'yinfast' | 'fcomb' | 'mcomb' | 'schmitt' | 'specacf'

interface Detector {
  do(samples: Float32Array): number
  /** Frees its part of the compiled heap; not in the package's types. */
  delete(): void
}

type Pitch = new (algorithm: Algorithm, window: number, hop: number, sampleRateHz: number) => Detector

let pitch: Pitch | null = null
const alive: Detector[] = []
/** A take and its twin are heard one after the other; a test may hold a few listeners at once. */
const mostAlive = 12

export async function loadAubio(): Promise<void> {
  pitch ??= ((await aubiojs()) as unknown as { Pitch: Pitch }).Pitch
}

function opened(algorithm: Algorithm, window: number, hop: number, sampleRateHz: number): Detector {
  if (pitch === null) throw new Problem('is not loaded yet', 'aubio')
  const detector = new pitch(algorithm, window, hop, sampleRateHz)
  alive.push(detector)
  if (alive.length > mostAlive) alive.shift()?.delete()
  return detector
}

function outside(algorithm: Algorithm, title: string, source: string): Method {
  return method<typeof fields>({
    id: `aubio-${algorithm}`,
    title: `aubio ${title} (outside package)`,
    source: `npm package aubiojs 0.2; ${source}`,
    family: 'blind',
    fields,
    open(stream, values) {
      const { window } = values as Framing
      const hop = Math.min(values.hop, window)
      if (window % hop !== 0) throw new Problem(`${hop} does not divide the window, ${window}`, 'hop')
      const detector = opened(algorithm, window, hop, stream.sampleRateHz)
      let begun = false
      return framewise(stream, { ...values, hop }, (frame, estimate) => {
        if (!alive.includes(detector)) return
        for (let start = hop; !begun && start < window; start += hop) detector.do(frame.subarray(start - hop, start))
        begun = true
        const f0Hz = detector.do(frame.subarray(window - hop))
        if (!(f0Hz >= stream.lowestHz && f0Hz <= stream.highestHz)) return
        estimate.f0Hz = f0Hz
        estimate.confidence = 1
      })
    },
  })
}

export const aubioMethods: readonly Method[] = [
  outside('yinfft', 'YINFFT', 'after Brossier 2006'),
  outside('yinfast', 'fast YIN', 'after de Cheveigné & Kawahara 2002'),
  outside('yin', 'YIN', 'after de Cheveigné & Kawahara 2002'),
  outside('fcomb', 'harmonic comb', 'after Lang, tuneit'),
  outside('mcomb', 'multiple comb', 'after Bello 2003'),
  outside('schmitt', 'Schmitt trigger', 'after Lang, tuneit'),
  outside('specacf', 'spectral autocorrelation', 'aubio'),
]
