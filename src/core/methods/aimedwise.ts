/**
 * The way every aimed method hears: the stream lowered to little more than the partials of the note in hand need, cut into
 * frames of odd length, one every `hop` samples of the stream.
 *
 * The lowering is linear phase and so moves no frequency; the filter's reach is part of the evidence. Partials are listened
 * to up to a few kHz. A frame that holds a NaN or an infinity, or nothing at all, is declined without asking the method.
 */
import { Problem } from '../problem.ts'
import { searchCents } from './combsearch.ts'
import { Decimator } from './decimator.ts'
import { frameFields } from './framewise.ts'
import type { Listener, Reading, Stream, Weighing } from './method.ts'
import { partialHz } from './stringlaw.ts'

export const aimedFields = {
  ...frameFields,
  partials: {
    default: 16,
    min: 1,
    max: 24,
    unit: 'count',
    whole: true,
    help: 'How many partials are listened to at most; what lies above a few kHz is left out all the same.',
  },
} as const

/** -100 dB: what swings less about a steady offset is the offset's own skirt and rounding. */
const leastSwing = 1e-10

const sharpest = 2 ** (searchCents / 1200)

/** What an aimed method's frames are. */
export interface AimedFrames {
  readonly targetHz: number
  /** After lowering. */
  readonly rateHz: number
  /** Odd. */
  readonly length: number
  readonly partials: number
  /** Nothing above is heard. */
  readonly passHz: number
  /** From one frame to the next. */
  readonly hopS: number
}

/** Fills f0Hz, confidence and spreadCents, which stand at declined. The frame is lent for the call. */
export interface AnalyseAimed {
  (frame: Float64Array, reading: Reading): void
  /** What the frame analysed last was searched for. */
  readonly weigh?: () => Weighing
}

/**
 * `usefulHz`: partials above are left out; above middle C at least three and a half partials are kept.
 * @throws Problem without a target, for one that the rate cannot hold, and for windows under two periods of it.
 */
export function aimedwise(
  stream: Stream,
  values: { readonly window: number; readonly hop: number; readonly partials: number },
  usefulHz: number,
  open: (frames: AimedFrames) => AnalyseAimed,
): Listener {
  const targetHz = aimOf(stream)
  const { sampleRateHz } = stream
  const ceilingHz = Math.min(Math.max(usefulHz, 3.5 * targetHz), 0.42 * sampleRateHz)
  const partials = Math.min(values.partials, Math.max(1, Math.floor(ceilingHz / (targetHz * sharpest))))
  // The highest partial of the sharpest, stiffest string that is searched, and a little room for its line's width.
  const passHz = Math.min(
    0.45 * sampleRateHz,
    1.02 * partialHz({ f1Hz: targetHz * sharpest, stiffness: 2.5e-4 }, partials),
  )
  // Three times the pass band: a third of the new rate is flank, so the filter's reach stays near one per cent of a window.
  const factor = Math.max(1, Math.floor(sampleRateHz / (3.1 * passHz)))
  const decimator = new Decimator(sampleRateHz, factor, passHz)
  const reach = decimator.reachSamples
  const fitting = Math.floor((values.window - 2 * reach) / factor)
  const length = fitting % 2 === 0 ? fitting - 1 : fitting
  if (length * factor * targetHz < 2 * sampleRateHz) {
    const least = Math.ceil((2 * sampleRateHz) / targetHz) + 2 * reach + 2 * factor
    throw new Problem(`${values.window} is below ${least} samples, two periods of ${targetHz} Hz`, 'window')
  }

  const analyse = open({
    targetHz,
    rateHz: sampleRateHz / factor,
    length,
    partials,
    passHz,
    hopS: values.hop / sampleRateHz,
  })
  const recent = new Float64Array(length)
  const frame = new Float64Array(length)
  let at = 0
  let outputs = 0
  let heard = 0
  let next = values.window
  let lastBroken = -1
  let analysed = false
  const reading: Reading = { fromSample: 0, toSample: 0, atSample: 0, f0Hz: 0, confidence: 0, spreadCents: 0 }

  const answer = (): void => {
    reading.toSample = (outputs - 1) * factor + reach + 1
    reading.fromSample = reading.toSample - 1 - 2 * reach - (length - 1) * factor
    reading.atSample = (reading.fromSample + reading.toSample - 1) / 2
    reading.f0Hz = Number.NaN
    reading.confidence = 0
    reading.spreadCents = Number.NaN
    analysed = false
    if (lastBroken >= reading.fromSample) return
    frame.set(recent.subarray(at))
    frame.set(recent.subarray(0, at), length - at)
    let sum = 0
    let energy = 0
    for (let i = 0; i < length; i++) {
      sum += frame[i]
      energy += frame[i] * frame[i]
    }
    analysed = energy > 0 && energy - (sum * sum) / length > leastSwing * energy
    if (analysed) analyse(frame, reading)
  }

  return {
    push(samples, emit) {
      for (let i = 0; i < samples.length; i++) {
        let sample = samples[i]
        // x - x is 0 for every finite x and NaN for the rest; a broken sample must not stay in the filter.
        if (sample - sample !== 0) {
          sample = 0
          lastBroken = heard
        }
        heard++
        if (decimator.push(sample)) {
          recent[at] = decimator.output
          at = at + 1 === length ? 0 : at + 1
          outputs++
        }
        if (heard < next) continue
        next += values.hop
        answer()
        emit(reading)
      }
    },
    weigh: () => (analysed ? (analyse.weigh?.() ?? null) : null),
  }
}

function aimOf({ targetHz, sampleRateHz }: Stream): number {
  if (targetHz === null) throw new Problem('this method must be told which note is in hand', 'targetHz')
  if (!(targetHz >= 10)) throw new Problem(`${targetHz} is below 10 Hz`, 'targetHz')
  const limitHz = (0.42 * sampleRateHz) / sharpest
  if (targetHz > limitHz)
    throw new Problem(`${targetHz} is above ${Math.floor(limitHz)} Hz at this sample rate`, 'targetHz')
  return targetHz
}
