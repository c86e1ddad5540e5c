/**
 * Turns a function of one frame into a listener: the stream is cut into windows of `window` samples, one every `hop`.
 *
 * Samples are taken one by one into a frame that is always whole and always starts at index 0, so readings cannot depend
 * on how the stream was cut into blocks. The first reading comes once the first window is full. A frame that holds a NaN
 * or an infinity is declined without asking the method; the sample itself counts as 0, so that it cannot stay in a filter.
 *
 * `lowPassHz` puts a filter in front (lowpass.ts). Its settling time is charged to the evidence and its delay to the
 * instant the estimate speaks of. Nothing here allocates after set-up.
 */
import type { Field } from '../fields.ts'
import { Problem } from '../problem.ts'
import { lowPass } from './lowpass.ts'
import type { Listener, Reading, Stream } from './method.ts'

/** 4096 samples at 48 kHz are 85 ms: two and a half periods of the lowest note heard by default. */
export const frameFields = {
  window: {
    default: 4096,
    min: 256,
    max: 32768,
    unit: 'samples',
    help: 'How much sound one reading is made from. Longer hears lower notes and answers later.',
    whole: true,
  },
  hop: {
    default: 512,
    min: 32,
    max: 32768,
    unit: 'samples',
    help: 'From one reading to the next. Shorter answers more often and costs more computing.',
    whole: true,
  },
} as const satisfies Record<string, Field>

/** For methods that follow the waveform's period: they gain from hearing fewer partials. */
export const lowPassFields = {
  lowPassHz: {
    default: 0,
    min: 0,
    max: 20000,
    unit: 'Hz',
    help: 'Corner of a low-pass in front of the method (24 dB per octave); 0: none. Must stay under 0.45 of the sample rate.',
  },
} as const satisfies Record<string, Field>

/** What one frame says. Handed over declined and speaking of the middle of the whole frame; the method overwrites. */
export interface FrameEstimate {
  /** NaN: declined. */
  f0Hz: number
  confidence: number
  spreadCents: number
  /** The evidence inside the frame, half open, in samples from its start. */
  fromOffset: number
  toOffset: number
  /** The instant the estimate speaks of, in samples from the frame's start. */
  atOffset: number
}

/** The frame belongs to the listener: it is only lent for the call and must not be written to. */
export type Analyse = (frame: Float32Array, estimate: FrameEstimate) => void

export interface Framing {
  readonly window: number
  readonly hop: number
  readonly lowPassHz?: number
}

/** @throws Problem when the stream's range makes no sense at its rate, or the low-pass corner is too high for it. */
export function framewise(stream: Stream, framing: Framing, analyse: Analyse): Listener {
  checkRange(stream)
  const { window, hop } = framing
  const filter = framing.lowPassHz ? lowPass(framing.lowPassHz, stream.sampleRateHz) : null
  const settlingSamples = filter?.settlingSamples ?? 0
  const delaySamples = filter?.delaySamples ?? 0

  const frame = new Float32Array(window)
  let filled = 0
  // Samples still to be dropped before the next frame begins, when hops are longer than windows.
  let skip = 0
  let heard = 0
  let lastBroken = Number.NEGATIVE_INFINITY
  const estimate: FrameEstimate = { f0Hz: 0, confidence: 0, spreadCents: 0, fromOffset: 0, toOffset: 0, atOffset: 0 }
  const reading: Reading = { fromSample: 0, toSample: 0, atSample: 0, f0Hz: 0, confidence: 0, spreadCents: 0 }

  const answer = (): void => {
    const start = heard - window
    decline(estimate, window)
    if (lastBroken < start - settlingSamples) {
      analyse(frame, estimate)
      if (!(estimate.f0Hz > 0 && estimate.f0Hz < Number.POSITIVE_INFINITY)) decline(estimate, window)
    }
    reading.fromSample = Math.max(0, start + estimate.fromOffset - settlingSamples)
    reading.toSample = start + estimate.toOffset
    reading.atSample = start + estimate.atOffset - delaySamples
    reading.f0Hz = estimate.f0Hz
    reading.confidence = estimate.confidence
    reading.spreadCents = estimate.spreadCents
  }

  return {
    push(samples, emit) {
      for (let i = 0; i < samples.length; i++) {
        let sample = samples[i]
        // x - x is 0 for every finite x and NaN for the rest.
        if (sample - sample !== 0) {
          sample = 0
          lastBroken = heard
        }
        if (filter !== null) sample = filter.next(sample)
        heard++
        if (skip > 0) {
          skip--
          continue
        }
        frame[filled++] = sample
        if (filled < window) continue
        answer()
        emit(reading)
        if (hop < window) {
          frame.copyWithin(0, hop)
          filled = window - hop
        } else {
          filled = 0
          skip = hop - window
        }
      }
    },
  }
}

function decline(estimate: FrameEstimate, window: number): void {
  estimate.f0Hz = Number.NaN
  estimate.confidence = 0
  estimate.spreadCents = Number.NaN
  estimate.fromOffset = 0
  estimate.toOffset = window
  estimate.atOffset = window / 2
}

function checkRange({ sampleRateHz, lowestHz, highestHz }: Stream): void {
  if (!(sampleRateHz > 0)) throw new Problem(`${sampleRateHz} is not a sample rate`, 'sampleRateHz')
  if (!(lowestHz > 0)) throw new Problem(`${lowestHz} is not above 0 Hz`, 'lowestHz')
  if (!(highestHz > lowestHz)) throw new Problem(`${highestHz} is not above lowestHz, ${lowestHz} Hz`, 'highestHz')
  if (highestHz > sampleRateHz / 2) {
    throw new Problem(`${highestHz} is above half the sample rate, ${sampleRateHz / 2} Hz`, 'highestHz')
  }
}
