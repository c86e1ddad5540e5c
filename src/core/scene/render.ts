/**
 * From a scene to samples: the string side, the noise side, and their sum.
 *
 *   string side: pluck on its body -> + sympathetic strings -> sensor     (stringside.ts)
 *   noise side:  parts of the room -> + driven strings -> sensor -> ratio (room.ts, and here)
 *
 * The ratio of mean squares, string side over noise, is set over the first 1.0 s after the first onset (or what the take has
 * of it) on the rounded samples of the string side; rounding the noise to float32 moves it by less than 1e-6 dB. The noise is
 * scaled to the pluck even where the string is then taken away. take = clean + noise, one float32 addition a sample.
 * Recordings that stand for themselves (`asRecorded`) are set by their whole length instead, not by that second.
 *
 * A study makes the string side once for many rooms and ratios: the steps are exported one by one.
 */
import { randomStream } from '../maths/random.ts'
import { powerRatioFromDb } from '../maths/units.ts'
import { Problem } from '../problem.ts'
import { type Hearing, openSensor } from './hearing.ts'
import { meanSquare, ratioSpan } from './level.ts'
import { areAsRecorded, noiseSide } from './room.ts'
import type { Recordings, Rendered, RoomPart, Scene } from './scene.ts'
import { type RenderedString, renderString, type StringScene, stringSeedOf } from './stringside.ts'

export { heardSpectrum, type OwnSpectrum, ownSpectrum, roomSpectrum } from './room.ts'
export { type RenderedString, renderString, type StringScene } from './stringside.ts'

/** @throws Problem with the path inside the scene for what cannot be rendered. */
export function render(scene: Scene, recordings: Recordings): Rendered {
  const string = renderString(scene, recordings)
  return mix(scene, string, renderNoise(scene, string, recordings))
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
  const hearing = openSensor(scene.sensor, scene.sampleRateHz)
  const own = ownNoise(hearing, sum.length, scene, power)
  // The last of several sources takes the sensor's noise in; alone, it sounds at its own level.
  for (const [index, source] of sources.entries()) {
    addAtRatio(sum, source, scene, power, recordings, index === sources.length - 1 ? own : null)
  }
  if (sources.length === 0 && own !== null) sum.set(own)
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
  own: Float64Array | null,
): void {
  const { sampleRateHz, plucks, targetHz = null, neighbours, sensor } = scene
  const span = ratioSpan(scene)
  const setting = {
    sampleRateHz,
    random: randomStream(scene.seed, source.stream),
    pluck: plucks.at(-1) ?? null,
    onsetS: span.from / sampleRateHz,
    targetHz,
    recordings,
    where: source.where,
  }
  const way = {
    stringSeed: stringSeedOf(scene),
    ...(neighbours === undefined ? {} : { neighbours }),
    ...(sensor === undefined ? {} : { sensor }),
  }
  const samples = noiseSide(sum.length, source.parts, setting, way, span)
  // Behind a sensor nobody knows what the whole recording comes to.
  const power =
    areAsRecorded(source.parts) && sensor === undefined
      ? source.parts.reduce((sum, { levelDb }) => sum + powerRatioFromDb(levelDb), 0)
      : meanSquare(samples, span)
  const silent = 'is silent over the first second after the onset: no ratio can be set'
  // Written so that NaN is caught too.
  if (!(power > 0)) throw new Problem(silent, source.where[0] ?? 'room')
  if (!(stringPower > 0)) throw new Problem(silent, 'plucks')
  const wanted = stringPower / powerRatioFromDb(source.snrDb)
  const gain = Math.sqrt(wanted / power)
  if (own === null) {
    for (let i = 0; i < sum.length; i++) sum[i] += gain * samples[i]
    return
  }
  for (let i = 0; i < sum.length; i++) samples[i] = gain * samples[i] + own[i]
  const both = Math.sqrt(wanted / meanSquare(samples, span))
  for (let i = 0; i < sum.length; i++) sum[i] += both * samples[i]
}

/** What the sensor adds by itself, at its level re the string; null: nothing. @throws Problem for a silent string. */
function ownNoise(hearing: Hearing | null, length: number, scene: Scene, stringPower: number): Float64Array | null {
  const own = hearing?.sensor.own
  if (hearing === null || own === undefined) return null
  const { values } = hearing
  const samples = new Float64Array(length)
  own.fill(samples, { sampleRateHz: scene.sampleRateHz, values, random: randomStream(scene.seed, 'sensor') })
  const power = meanSquare(samples, ratioSpan(scene))
  if (!(power > 0)) return null
  const gain = Math.sqrt((stringPower * powerRatioFromDb(own.levelDb(values))) / power)
  return samples.map((value) => gain * value)
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
