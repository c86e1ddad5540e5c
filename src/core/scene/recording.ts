/**
 * Sound from outside: strings and noises that somebody recorded.
 *
 * A recorded string is laid with its onset on the pluck's, to the nearest sample, everything before it included, and is set to
 * the level of a synthetic one. It ends with a short fade. Its pitch is measured, not known: no better than a cent or two.
 */
import { resample } from '../maths/resample.ts'
import { Problem } from '../problem.ts'
import { stringRms } from './components.ts'
import { meanSquare, sampleCount } from './level.ts'
import type { RecordedPluck, Recording, Recordings, Truth } from './scene.ts'
import { truthOf } from './truth.ts'
import { readWav } from './wav.ts'

/** Rates that scenes may have: what a recording is brought to or comes from. */
const lowestRateHz = 8000
const highestRateHz = 192000

/**
 * A recording from the bytes of a WAV file; several channels become their mean.
 * @param meta NaN or absent: nobody measured it. Without an onset the first sample counts as the onset.
 * @throws Problem for a file that `readWav` refuses or a rate outside 8 to 192 kHz.
 */
export function recordingFromWav(
  id: string,
  bytes: Uint8Array,
  meta: { readonly onsetS?: number; readonly f1Hz?: number } = {},
): Recording {
  const { sampleRateHz, channels } = readWav(bytes, '')
  if (sampleRateHz < lowestRateHz) throw new Problem(`${sampleRateHz} is below ${lowestRateHz} Hz`, 'sampleRateHz')
  if (sampleRateHz > highestRateHz) throw new Problem(`${sampleRateHz} is above ${highestRateHz} Hz`, 'sampleRateHz')
  const [first, ...others] = channels as [Float32Array, ...Float32Array[]]
  const samples =
    others.length === 0
      ? first
      : first.map((value, i) => others.reduce((sum, channel) => sum + channel[i], value) / channels.length)
  return { id, sampleRateHz, samples, onsetS: meta.onsetS ?? Number.NaN, f1Hz: meta.f1Hz ?? Number.NaN }
}

/** @throws Problem that lists the recordings at hand. */
export function recordingById(id: string, recordings: Recordings, where: string): Recording {
  const found = recordings.get(id)
  if (found === undefined) {
    const known = [...recordings.keys()].join(', ')
    throw new Problem(`no recording "${id}"; ${known === '' ? 'there are none' : `at hand are ${known}`}`, where)
  }
  return found
}

/** A study plays the same few recordings over and over: each is brought to a rate once. */
const atOtherRates = new WeakMap<Recording, Map<number, Recording>>()

export function atRate(recording: Recording, sampleRateHz: number): Recording {
  if (recording.sampleRateHz === sampleRateHz) return recording
  const kept = atOtherRates.get(recording) ?? new Map<number, Recording>()
  atOtherRates.set(recording, kept)
  const known = kept.get(sampleRateHz)
  if (known !== undefined) return known
  const samples = resample(recording.samples, recording.sampleRateHz, sampleRateHz)
  const made = { ...recording, sampleRateHz, samples }
  kept.set(sampleRateHz, made)
  return made
}

/** So short that no cut is heard as a click. */
const fadeS = 0.02

/** Adds the recorded string to `target`. @throws Problem when its first second is silent. */
export function addRecordedPluck(
  target: Float64Array,
  pluck: RecordedPluck,
  recording: Recording,
  sampleRateHz: number,
): void {
  const { samples, onsetS } = atRate(recording, sampleRateHz)
  const onset = Math.round((Number.isNaN(onsetS) ? 0 : onsetS) * sampleRateHz)
  const span = { from: onset, to: Math.min(samples.length, onset + sampleRateHz) }
  const power = span.to > span.from ? meanSquare(samples, span) : 0
  if (power === 0) throw new Problem(`the recording "${recording.id}" is silent after its onset`, 'recording')
  const gain = stringRms / Math.sqrt(power)
  const shift = Math.round(pluck.onsetS * sampleRateHz) - onset
  const fade = Math.max(1, sampleCount(sampleRateHz, fadeS))
  const to = Math.min(target.length, samples.length + shift)
  for (let i = Math.max(0, shift); i < to; i++) {
    const left = Math.min(1, (samples.length + shift - i) / fade)
    // A cubic step: flat at both ends, and the same in every engine.
    target[i] += gain * left * left * (3 - 2 * left) * samples[i - shift]
  }
}

/** null when nobody measured the pitch. The pitch counts as settled from the onset on. */
export function recordedTruth(pluck: RecordedPluck, recording: Recording, durationS: number): Truth | null {
  const { f1Hz } = recording
  return Number.isNaN(f1Hz) ? null : truthOf(pluck.onsetS, f1Hz, durationS, () => f1Hz)
}
