/**
 * From a scene to samples: the string side, the noise side, and their sum.
 *
 * The ratio of mean squares, string side over noise, is set over the first 1.0 s after the first onset (or what the take has
 * of it) on the rounded samples of the string side; rounding the noise to float32 moves it by less than 1e-6 dB. The noise is
 * scaled to the pluck even where the string is then taken away. take = clean + noise, one float32 addition a sample.
 *
 * A study makes the string side once for many rooms and ratios: the steps are exported one by one.
 */
import { randomStream } from '../maths/random.ts'
import { powerRatioFromDb } from '../maths/units.ts'
import { Problem, problemWithin } from '../problem.ts'
import { meanSquare, ratioSpan, sampleCount } from './level.ts'
import { addPluck, pluckPartials, pluckTruth } from './pluck.ts'
import { addRecordedPluck, recordedTruth, recordingById } from './recording.ts'
import { fillParts } from './room.ts'
import type { Partial, Recordings, Rendered, RoomPart, Scene, Truth } from './scene.ts'

export { roomSpectrum } from './room.ts'

/** The string side by itself: what the room does not change. */
export interface RenderedString {
  readonly samples: Float32Array
  /** Of the last pluck; empty for a recorded one. */
  readonly partials: readonly Partial[]
  readonly truth: Truth | null
}

/** What of a scene the string side depends on. */
export type StringScene = Pick<Scene, 'sampleRateHz' | 'durationS' | 'plucks'>

/** @throws Problem with the path inside the scene for what cannot be rendered. */
export function render(scene: Scene, recordings: Recordings): Rendered {
  const string = renderString(scene, recordings)
  return mix(scene, string, renderNoise(scene, string, recordings))
}

/** @throws Problem for a string that the rate cannot carry, or a recording that is missing or silent. */
export function renderString(scene: StringScene, recordings: Recordings): RenderedString {
  const { sampleRateHz, durationS, plucks } = scene
  const sum = new Float64Array(sampleCount(sampleRateHz, durationS))
  let partials: readonly Partial[] = []
  let truth: Truth | null = null
  for (const [index, pluck] of plucks.entries()) {
    within(`plucks.${index}`, () => {
      if (pluck.recording === undefined) {
        addPluck(sum, pluck, sampleRateHz)
        partials = pluckPartials(pluck, sampleRateHz)
        truth = pluckTruth(pluck, durationS)
      } else {
        const recording = recordingById(pluck.recording, recordings, 'recording')
        addRecordedPluck(sum, pluck, recording, sampleRateHz)
        partials = []
        truth = recordedTruth(pluck, recording, durationS)
      }
    })
  }
  return { samples: Float32Array.from(sum), partials, truth }
}

/** Mean square over the span that ratios speak of. */
export const meanSquareOfFirstSecond = (samples: Float32Array, scene: StringScene): number =>
  meanSquare(samples, ratioSpan(scene))

/**
 * The noise side, scaled to the string side's level. All zero for a scene without noises.
 * @throws Problem when a noise, or the string, is silent over the span of the ratio.
 */
export function renderNoise(scene: Scene, string: RenderedString, recordings: Recordings): Float32Array {
  const sum = new Float64Array(string.samples.length)
  const power = meanSquareOfFirstSecond(string.samples, scene)
  const noises = scene.noises.map((noise, index) => ({
    parts: [{ ...noise, levelDb: 0 }],
    snrDb: noise.snrDb,
    where: [`noises.${index}`],
    stream: `noise ${index}`,
  }))
  const { room } = scene
  const where = room?.parts.map((_, index) => `room.parts.${index}`) ?? []
  const sources = room === null ? noises : [...noises, { ...room, where, stream: 'room' }]
  for (const source of sources) addAtRatio(sum, source, scene, power, recordings)
  return Float32Array.from(sum)
}

interface Source {
  readonly parts: readonly RoomPart[]
  readonly snrDb: number
  /** Path of each part. */
  readonly where: readonly string[]
  readonly stream: string
}

function addAtRatio(
  sum: Float64Array,
  source: Source,
  scene: Scene,
  stringPower: number,
  recordings: Recordings,
): void {
  const { sampleRateHz, plucks, targetHz = null } = scene
  const span = ratioSpan(scene)
  const samples = new Float64Array(sum.length)
  fillParts(samples, source.parts, {
    sampleRateHz,
    random: randomStream(scene.seed, source.stream),
    pluck: plucks.at(-1) ?? null,
    onsetS: span.from / sampleRateHz,
    targetHz,
    recordings,
    where: source.where,
  })
  const power = meanSquare(samples, span)
  const silent = 'is silent over the first second after the onset: no ratio can be set'
  // Written so that NaN is caught too.
  if (!(power > 0)) throw new Problem(silent, source.where[0] ?? 'room')
  if (!(stringPower > 0)) throw new Problem(silent, 'plucks')
  const gain = Math.sqrt(stringPower / powerRatioFromDb(source.snrDb) / power)
  for (let i = 0; i < sum.length; i++) sum[i] += gain * samples[i]
}

/** Puts the two sides together, or leaves the string away where the scene says so. */
export function mix(
  scene: Pick<Scene, 'sampleRateHz' | 'noString'>,
  string: RenderedString,
  noise: Float32Array,
): Rendered {
  const clean = scene.noString ? new Float32Array(noise.length) : string.samples
  const samples = new Float32Array(noise.length)
  for (let i = 0; i < samples.length; i++) samples[i] = clean[i] + noise[i]
  const { partials, truth } = string
  return { take: { sampleRateHz: scene.sampleRateHz, samples, truth }, clean, noise, partials }
}

function within(where: string, action: () => void): void {
  try {
    action()
  } catch (error) {
    throw error instanceof Problem ? problemWithin(where, error) : error
  }
}
