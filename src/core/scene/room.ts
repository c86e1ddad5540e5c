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
import { openSensor } from './hearing.ts'
import { meanSquare, type Span } from './level.ts'
import { drivenRinging, isDriven, type Neighbours } from './neighbours.ts'
import { noiseById } from './noises/index.ts'
import type { NoisePath } from './noises/noise.ts'
import { atRate, recordingById } from './recording.ts'
import type { Pluck, Recordings, RoomPart } from './scene.ts'
import type { SensorChoice, SoundPath } from './sensors/sensor.ts'

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
  const asRecorded = areAsRecorded(parts)
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
    const power =
      asRecorded && recording !== null
        ? meanSquare(recording.samples, { from: 0, to: recording.samples.length })
        : meanSquare(samples, whole)
    if (!(power > 0)) throw new Problem('is silent: no level can be set', where)
    const gain = Math.sqrt(powerRatioFromDb(part.levelDb) / power)
    const target = targetOf(noise.path ?? 'air')
    for (let i = 0; i < length; i++) target[i] += gain * samples[i]
  }
}

/** Whether a ratio speaks of the recordings as a whole. */
export const areAsRecorded = (parts: readonly RoomPart[]): boolean =>
  parts.length > 0 && parts.every((part) => part.asRecorded === true)

/** null where nobody knows it. */
function pitchOf(pluck: Pluck | null, recordings: Recordings): number | null {
  if (pluck === null) return null
  if (pluck.recording === undefined) return pluck.firstPartialHz
  const f1Hz = recordings.get(pluck.recording)?.f1Hz ?? Number.NaN
  return Number.isNaN(f1Hz) ? null : f1Hz
}

/** What lies between a room and the place where the method listens. */
export interface NoiseWay {
  readonly neighbours?: Neighbours
  /** Of the string side: its neighbours are off by as much here. */
  readonly stringSeed: number
  readonly sensor?: SensorChoice
}

const openWay: NoiseWay = { stringSeed: 0 }

/**
 * The room as it is heard: noises, the open strings they drive, all through the sensor. A new array.
 *
 *   parts -> + driven -> sensor
 *
 * @param span over which the level of the driven strings is set.
 * @throws Problem as `fillParts`, and for an unknown sensor.
 */
export function noiseSide(
  length: number,
  parts: readonly RoomPart[],
  setting: RoomSetting,
  way: NoiseWay,
  span: Span,
): Float64Array {
  const { sampleRateHz } = setting
  const { neighbours, stringSeed } = way
  const hearing = openSensor(way.sensor, sampleRateHz)
  const total = new Float64Array(length)
  if (hearing === null && !isDriven(neighbours)) {
    fillParts(total, parts, setting)
    return total
  }
  const { air, body, wire } = partsByPath(length, parts, setting)
  // What comes by wire shakes no string.
  const drive = sum(sum(new Float64Array(length), air), body)
  const string = drivenRinging(drive, neighbours, { sampleRateHz, stringSeed, span }) ?? new Float64Array(0)
  for (const [path, samples] of Object.entries({ air, body, wire, string })) {
    hearing?.apply(samples, path as SoundPath, null)
    sum(total, samples)
  }
  return total
}

function sum(target: Float64Array, samples: Float64Array): Float64Array {
  for (let i = 0; i < samples.length; i++) target[i] += samples[i]
  return target
}

/** 5 s hold 58 half-overlapped segments of 8192 samples at 48 kHz: a bin is known to 0.6 dB. */
const learntS = 5

/**
 * The room as a person would learn it: the power density of 5 s of the same parts from another stream, scaled to mean
 * square 1 over the whole spectrum. Of recordings that stand for themselves, all there is.
 * @param targetHz the note in hand, for noises that sound near it.
 * @param way what lies between the room and the ear; a sensor's own noise depends on the ratio: `heardSpectrum` adds it.
 * @throws Problem for what `fillParts` refuses.
 */
export function roomSpectrum(
  parts: readonly RoomPart[],
  sampleRateHz: number,
  seed: number,
  recordings: Recordings,
  targetHz: number | null = null,
  way: NoiseWay = openWay,
): Spectrum {
  const length = areAsRecorded(parts) ? longest(parts, sampleRateHz, recordings) : learntS * sampleRateHz
  const setting = {
    sampleRateHz,
    random: randomStream(seed, 'learnt'),
    pluck: null,
    onsetS: 0,
    targetHz,
    recordings,
    where: parts.map((_, index) => `parts.${index}`),
  }
  return unitSpectrum(noiseSide(length, parts, setting, way, { from: 0, to: length }), sampleRateHz)
}

function longest(parts: readonly RoomPart[], sampleRateHz: number, recordings: Recordings): number {
  const lengths = parts.map(({ recording = '' }, index) => {
    const { samples, sampleRateHz: ownHz } = recordingById(recording, recordings, `parts.${index}.recording`)
    return Math.round((samples.length / ownHz) * sampleRateHz)
  })
  return Math.max(...lengths)
}

function unitSpectrum(samples: Float64Array, sampleRateHz: number): Spectrum {
  const spectrum = welch(Float32Array.from(samples), sampleRateHz)
  const power = spectrum.density.reduce((sum, density) => sum + density * spectrum.binHz, 0)
  return scaledSpectrum(spectrum, 1 / power)
}

/** A sensor's own noise as a person would learn it. */
export interface OwnSpectrum {
  /** Scaled to mean square 1. */
  readonly shape: Spectrum
  /** Mean square over that of the string. */
  readonly overString: number
}

/** From another stream than any take's; null: the sensor adds nothing. @throws Problem for an unknown sensor. */
export function ownSpectrum(choice: SensorChoice | undefined, sampleRateHz: number, seed: number): OwnSpectrum | null {
  const hearing = openSensor(choice, sampleRateHz)
  const own = hearing?.sensor.own
  if (hearing === null || own === undefined) return null
  const { values } = hearing
  const samples = new Float64Array(learntS * sampleRateHz)
  own.fill(samples, { sampleRateHz, values, random: randomStream(seed, 'learnt', 'sensor') })
  if (!(meanSquare(samples, { from: 0, to: samples.length }) > 0)) return null
  return { shape: unitSpectrum(samples, sampleRateHz), overString: powerRatioFromDb(own.levelDb(values)) }
}

/**
 * The noise side at a ratio, as `renderNoise` makes it: the room at the ratio, the sensor's own noise at its level re the
 * string, both then brought to the ratio together.
 * @param room of `roomSpectrum`.
 * @returns power density, take units^2 / Hz.
 */
export function heardSpectrum(room: Spectrum, own: OwnSpectrum | null, stringPower: number, snrDb: number): Spectrum {
  const wanted = stringPower / powerRatioFromDb(snrDb)
  if (own === null) return scaledSpectrum(room, wanted)
  const ownPower = stringPower * own.overString
  const together = wanted / (wanted + ownPower)
  const density = room.density.map((value, bin) => together * (wanted * value + ownPower * own.shape.density[bin]))
  return { binHz: room.binHz, density }
}

const inside = (where: string, key: string): string => (where === '' ? key : `${where}.${key}`)
