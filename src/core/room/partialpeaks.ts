/**
 * Frequencies of partials that are barely over a room, from the peak of one spectrum of the whole span.
 *
 * study/fitstring.ts follows each partial's phase from frame to frame. A frame is a twentieth of the span, so what stands 12 dB
 * out of the span's spectrum is lost in a frame's noise, and its phase slips. Such partials are read off the spectrum instead:
 * the highest of the bins around where they were found, or where the law has them, and a parabola through three logarithms.
 */
import { RealFourier } from '../maths/fourier.ts'
import { centsBetween, powerRatioFromDb } from '../maths/units.ts'
import { hann } from '../maths/windows.ts'
import { partialHz } from '../methods/stringlaw.ts'
import type { FittedString, MeasuredPartial } from '../study/fitstring.ts'
import type { SteadyLine } from './steadylines.ts'

/** As study/fitstring.ts takes its span. */
export const fitFromS = 0.25
/** Above it a frame's phase holds: 13 dB in a frame. */
const phaseHoldsDb = 25
/** As far as study/fitstring.ts looks. */
const searchCents = 35

/** The partials of `fitted` with those below 25 dB read anew. `toS`: end of the span, from the onset. */
export function readPartials(
  samples: Float32Array,
  sampleRateHz: number,
  onsetS: number,
  toS: number,
  { pluck, partials }: FittedString,
): MeasuredPartial[] {
  if (partials.every(({ snrDb }) => snrDb >= phaseHoldsDb)) return [...partials]
  const from = Math.round((onsetS + fitFromS) * sampleRateHz)
  const span = samples.subarray(from, Math.round((onsetS + toS) * sampleRateHz))
  let size = 16
  while (size < 4 * span.length) size *= 2
  const window = hann(span.length)
  const frame = new Float64Array(size)
  for (let i = 0; i < span.length; i++) frame[i] = window[i] * span[i]
  const power = new Float64Array(size / 2 + 1)
  new RealFourier(size).power(frame, power)
  const binHz = sampleRateHz / size
  const law = { f1Hz: pluck.firstPartialHz, stiffness: pluck.stiffness }
  return partials.map((partial) => {
    if (partial.snrDb >= phaseHoldsDb) return partial
    const lawHz = partialHz(law, partial.k)
    const frequencyHz = peakNear(power, binHz, lawHz)
    return { ...partial, frequencyHz, deviationCents: centsBetween(frequencyHz, lawHz) }
  })
}

function peakNear(power: Float64Array, binHz: number, hz: number): number {
  const edge = 2 ** (searchCents / 1200)
  const low = Math.max(1, Math.floor(hz / edge / binHz))
  const high = Math.min(power.length - 2, Math.ceil((hz * edge) / binHz))
  let best = low
  for (let bin = low; bin <= high; bin++) if (power[bin] > power[best]) best = bin
  const [left, middle, right] = [best - 1, best, best + 1].map((bin) => Math.log(power[bin] + Number.MIN_VALUE))
  const bend = left - 2 * middle + right
  return (best + (bend < 0 ? Math.max(-0.5, Math.min(0.5, (left - right) / (2 * bend))) : 0)) * binHz
}

/** A span of 1.25 s does not tell them apart. */
const lineReachHz = 2.5
/** A line 15 dB under a partial moves it by a cent or so. */
const lineShare = 0.03

/** Those that no steady tone of the room lies on, or only one that is weak beside them. */
export const clearOfLines = (partials: readonly MeasuredPartial[], lines: readonly SteadyLine[]): MeasuredPartial[] =>
  partials.filter(({ frequencyHz, amplitude }) =>
    lines.every(
      ({ hz, levelDbfs }) =>
        Math.abs(hz - frequencyHz) > lineReachHz ||
        powerRatioFromDb(levelDbfs) < (lineShare * amplitude * amplitude) / 2,
    ),
  )
