/**
 * The string side of a scene: plucks on their body, the neighbours that ring along, all through the sensor.
 *
 *   pluck, body -> + sympathetic -> sensor
 *
 * Nothing of it depends on room or ratio. What is drawn comes from the scene's string seed, so that a study can have the same
 * string in many rooms. Behind a sensor the string has the level it had before it. Recorded strings have been through a
 * sensor already and are left alone.
 */
import { Problem, problemWithin } from '../problem.ts'
import type { StringSetting } from './components.ts'
import { heardPartials } from './heardpartials.ts'
import { type Hearing, openSensor } from './hearing.ts'
import { meanSquare, ratioSpan, sampleCount } from './level.ts'
import { sympatheticRinging } from './neighbours.ts'
import { addPluck, pluckPartials } from './pluck.ts'
import { addRecordedPluck, recordedTruth, recordingById } from './recording.ts'
import type { Partial, Pluck, Recordings, Scene, SyntheticPluck, Truth } from './scene.ts'
import { pluckTruth } from './truth.ts'

/** The string side by itself: what the room does not change. */
export interface RenderedString {
  readonly samples: Float32Array
  /** Of the last pluck, as they are heard; empty for a recorded one. */
  readonly partials: readonly Partial[]
  readonly truth: Truth | null
}

/** What of a scene the string side depends on. */
export type StringScene = Pick<
  Scene,
  'sampleRateHz' | 'durationS' | 'plucks' | 'seed' | 'stringSeed' | 'attackSeed' | 'body' | 'neighbours' | 'sensor'
>

export const stringSeedOf = ({ stringSeed, seed }: Pick<Scene, 'seed' | 'stringSeed'>): number => stringSeed ?? seed

/** @throws Problem for a string that the rate cannot carry, or a recording that is missing or silent. */
export function renderString(scene: StringScene, recordings: Recordings): RenderedString {
  const { sampleRateHz, durationS, plucks, neighbours } = scene
  const length = sampleCount(sampleRateHz, durationS)
  const hearing = openSensor(scene.sensor, sampleRateHz)
  const dry = new Float64Array(length)
  const heard = hearing === null ? dry : new Float64Array(length)
  let last: Plucked = { partials: [], truth: null }
  for (const [index, pluck] of plucks.entries()) {
    last = within(`plucks.${index}`, () => addOne(dry, heard, pluck, index, scene, hearing, recordings))
  }
  const span = ratioSpan(scene)
  const setting = { sampleRateHz, stringSeed: stringSeedOf(scene), span }
  const dryPower = hearing === null ? 0 : meanSquare(dry, span)
  const along = sympatheticRinging(dry, neighbours, setting)
  if (along !== null) {
    hearing?.apply(along, 'string', null)
    add(heard, along)
  }
  return hearing === null
    ? { ...last, samples: Float32Array.from(heard) }
    : atLevel(heard, Math.sqrt(dryPower / meanSquare(heard, span)), last)
}

type Plucked = Omit<RenderedString, 'samples'>

/** Adds a pluck as it is to `dry` and as it is heard to `heard`, which may be the same. */
function addOne(
  dry: Float64Array,
  heard: Float64Array,
  pluck: Pluck,
  index: number,
  scene: StringScene,
  hearing: Hearing | null,
  recordings: Recordings,
): Plucked {
  const { sampleRateHz, durationS, body, attackSeed } = scene
  if (pluck.recording !== undefined) {
    const recording = recordingById(pluck.recording, recordings, 'recording')
    addRecordedPluck(dry, pluck, recording, sampleRateHz)
    if (heard !== dry) addRecordedPluck(heard, pluck, recording, sampleRateHz)
    return { partials: [], truth: recordedTruth(pluck, recording, durationS) }
  }
  const setting = {
    ...{ seed: stringSeedOf(scene), index },
    ...(attackSeed === undefined ? {} : { attackSeed }),
    ...(body === undefined ? {} : { body }),
  }
  const partials =
    hearing === null
      ? addDry(dry, pluck, sampleRateHz, setting)
      : addHeard(dry, heard, pluck, sampleRateHz, setting, hearing)
  return { partials, truth: pluckTruth(pluck, durationS, partials) }
}

function addDry(dry: Float64Array, pluck: SyntheticPluck, sampleRateHz: number, setting: StringSetting): Partial[] {
  addPluck(dry, pluck, sampleRateHz, setting)
  return pluckPartials(pluck, sampleRateHz, setting)
}

function addHeard(
  dry: Float64Array,
  heard: Float64Array,
  pluck: SyntheticPluck,
  sampleRateHz: number,
  setting: StringSetting,
  hearing: Hearing,
): Partial[] {
  const own = new Float64Array(dry.length)
  const partials = addDry(own, pluck, sampleRateHz, setting)
  add(dry, own)
  const behind = own.slice()
  hearing.apply(behind, 'string', pluck.firstPartialHz)
  add(heard, behind)
  return heardPartials(partials, own, behind, sampleRateHz, pluck.onsetS)
}

/** Sensors have no level of their own: the string is brought back to the one it had. */
function atLevel(heard: Float64Array, gain: number, { partials, truth }: Plucked): RenderedString {
  // Written so that a sensor that lets nothing through, or a silent span, stays what it is.
  const finite = gain > 0 && gain < Number.POSITIVE_INFINITY ? gain : 1
  const samples = new Float32Array(heard.length)
  for (let i = 0; i < samples.length; i++) samples[i] = finite * heard[i]
  return {
    samples,
    partials: partials.map((partial) => ({ ...partial, amplitude: finite * partial.amplitude })),
    truth,
  }
}

export function add(target: Float64Array, samples: Float64Array): void {
  for (let i = 0; i < target.length; i++) target[i] += samples[i]
}

function within<T>(where: string, action: () => T): T {
  try {
    return action()
  } catch (error) {
    throw error instanceof Problem ? problemWithin(where, error) : error
  }
}
