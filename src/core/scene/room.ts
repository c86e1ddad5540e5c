/**
 * A room: noises summed at their weights, and the power density that a method may be told of.
 *
 * Each part is brought to mean square 1 over the whole take, then weighted, so that weights mean the same for steady and for
 * beating sounds. Streams go by the part's place and id.
 */
import { fill } from '../fields.ts'
import { type Random, randomStream } from '../maths/random.ts'
import { type Spectrum, scaledSpectrum, welch } from '../maths/spectrum.ts'
import { powerRatioFromDb } from '../maths/units.ts'
import { Problem } from '../problem.ts'
import { meanSquare } from './level.ts'
import { noiseById } from './noises/index.ts'
import type { NoisePath } from './noises/noise.ts'
import { atRate, recordingById } from './recording.ts'
import type { Pluck, Recordings, RoomPart } from './scene.ts'

export interface RoomSetting {
  readonly sampleRateHz: number
  readonly random: Random
  readonly pluck: Pluck | null
  readonly onsetS: number
  /** The note in hand, Hz; null or absent: the pitch of `pluck`, as far as that is known. */
  readonly targetHz?: number | null
  readonly recordings: Recordings
  /** Path of each part, for Problems. */
  readonly where: readonly string[]
}

/** Adds the weighted parts to `target`. @throws Problem for an unknown noise or setting, or a part that is silent throughout. */
export const fillParts = (target: Float64Array, parts: readonly RoomPart[], setting: RoomSetting): void =>
  addParts(() => target, target.length, parts, setting)

/** The weighted parts, told apart by the way they come. @throws Problem as `fillParts`. */
export function partsByPath(
  length: number,
  parts: readonly RoomPart[],
  setting: RoomSetting,
): Readonly<Record<NoisePath, Float64Array>> {
  const sums = { air: new Float64Array(length), body: new Float64Array(length), wire: new Float64Array(length) }
  addParts((path) => sums[path], length, parts, setting)
  return sums
}

function addParts(
  targetOf: (path: NoisePath) => Float64Array,
  length: number,
  parts: readonly RoomPart[],
  setting: RoomSetting,
): void {
  const { sampleRateHz, random, pluck, onsetS, recordings } = setting
  const targetHz = setting.targetHz ?? pitchOf(pluck, recordings)
  const whole = { from: 0, to: length }
  for (const [index, part] of parts.entries()) {
    const where = setting.where[index] ?? ''
    const noise = noiseById(part.id, inside(where, 'id'))
    const values = fill(noise.fields, part.values, where)
    const recording = noise.recorded
      ? atRate(recordingById(part.recording ?? '', recordings, inside(where, 'recording')), sampleRateHz)
      : null
    const samples = new Float64Array(length)
    const own = random.fork(index, part.id)
    noise.fill(samples, { sampleRateHz, random: own, values, pluck, onsetS, targetHz, recording })
    const power = meanSquare(samples, whole)
    if (!(power > 0)) throw new Problem('is silent: no level can be set', where)
    const gain = Math.sqrt(powerRatioFromDb(part.levelDb) / power)
    const target = targetOf(noise.path ?? 'air')
    for (let i = 0; i < length; i++) target[i] += gain * samples[i]
  }
}

/** null where nobody knows it. */
function pitchOf(pluck: Pluck | null, recordings: Recordings): number | null {
  if (pluck === null) return null
  if (pluck.recording === undefined) return pluck.firstPartialHz
  const f1Hz = recordings.get(pluck.recording)?.f1Hz ?? Number.NaN
  return Number.isNaN(f1Hz) ? null : f1Hz
}

/** 5 s hold 58 half-overlapped segments of 8192 samples at 48 kHz: a bin is known to 0.6 dB. */
const learntS = 5

/**
 * The room as a person would learn it: the power density of 5 s of the same parts from another stream, scaled to mean
 * square 1 over the whole spectrum.
 * @param targetHz the note in hand, for noises that sound near it.
 * @throws Problem for what `fillParts` refuses.
 */
export function roomSpectrum(
  parts: readonly RoomPart[],
  sampleRateHz: number,
  seed: number,
  recordings: Recordings,
  targetHz: number | null = null,
): Spectrum {
  const samples = new Float64Array(learntS * sampleRateHz)
  fillParts(samples, parts, {
    sampleRateHz,
    random: randomStream(seed, 'learnt'),
    pluck: null,
    onsetS: 0,
    targetHz,
    recordings,
    where: parts.map((_, index) => `parts.${index}`),
  })
  const spectrum = welch(Float32Array.from(samples), sampleRateHz)
  const power = spectrum.density.reduce((sum, density) => sum + density * spectrum.binHz, 0)
  return scaledSpectrum(spectrum, 1 / power)
}

const inside = (where: string, key: string): string => (where === '' ? key : `${where}.${key}`)
