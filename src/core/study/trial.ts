/**
 * One trial: a pluck of one string in one room at one ratio, heard by every method of the study.
 *
 * Seeds are made of (study seed, cell, repeat, stream name) and never of the method or of the order of draws: all methods
 * hear identical samples, and any trial can be replayed alone. The string side does not depend on the ratio, nor on the
 * room but for sensor, body and neighbours, so its readings (the quiet twin) are kept for the trials that share it. A method
 * that throws becomes a failed outcome.
 */
import type { Spectrum } from '../maths/spectrum.ts'
import { methodById } from '../methods/index.ts'
import { listen } from '../methods/listen.ts'
import type { Method, Reading, Stream } from '../methods/method.ts'
import { Problem } from '../problem.ts'
import { isDriven } from '../scene/neighbours.ts'
import {
  heardSpectrum,
  meanSquareOfFirstSecond,
  mix,
  type OwnSpectrum,
  ownSpectrum,
  type RenderedString,
  renderNoise,
  renderString,
  roomSpectrum,
} from '../scene/render.ts'
import type { Pluck, Recordings, Rendered, Scene, Truth } from '../scene/scene.ts'
import { type Bound, openBound } from '../score/bound.ts'
import { type Score, scoreReadings } from '../score/score.ts'
import { boundSignalOf } from './boundsignal.ts'
import { type Levels, levelsOf } from './levels.ts'
import { type OpenMethod, openMethod } from './openmethod.ts'
import { trialCount } from './record.ts'
import { surroundingsOf } from './roomscene.ts'
import type { MethodChoice, Outcome, Study, StudyRoom, StudyString, Trial } from './study.ts'
import { learntSeedOf, sceneOf } from './trialscene.ts'
import { listenUntilClaim } from './untilclaim.ts'

/** What a trial yields: outcomes for the record, computing times for the side file. */
export interface TrialRun {
  /** In the study's method order. */
  readonly outcomes: readonly Outcome[]
  /** In the same order. */
  readonly timings: readonly { readonly method: string; readonly frames: number; readonly ms: number }[]
}

export interface Track {
  readonly method: MethodChoice
  readonly readings: readonly Reading[]
  /** The same method on the string side alone; empty when there is no string, or it was not heard. */
  readonly twin: readonly Reading[]
  readonly score: Score
}

/** A trial made again with everything that the page shows of it. */
export interface Replay {
  readonly trial: Trial
  readonly scene: Scene
  readonly rendered: Rendered
  /** One-sided noise power density of the room at the trial's level. */
  readonly room: Spectrum
  readonly levels: Levels
  /** Methods that failed are left out. */
  readonly tracks: readonly Track[]
}

export interface OpenStudy {
  readonly trialCount: number
  trialAt(index: number): Trial
  /** Never throws for what a method does: that is a failed outcome. */
  run(index: number): TrialRun
  /** @throws Problem when the trial cannot be rendered. */
  replay(index: number): Replay
}

/**
 * Checks a study's choices and makes its trials on demand.
 * @param nowMs the host's clock, for timings only; scores never see it.
 * @param find where a method's id is looked up: a bench may measure methods that are not listed.
 * @throws Problem for unknown ids or settings.
 */
export function openStudy(
  study: Study,
  recordings: Recordings,
  nowMs: () => number = () => 0,
  find: (id: string) => Method = methodById,
): OpenStudy {
  const methods = study.methods.map((choice) => openMethod(choice, study.claim, find))
  const stringSides = new Memory<StringSide>(study.repeats)
  const spectra = new Memory<Spectrum>(Math.max(study.rooms.length, study.repeats))
  const owns = new Memory<OwnSpectrum | null>(study.rooms.length)
  const twins = new Memory<readonly Reading[]>(study.repeats * methods.length)
  const bounds = new Memory<Bound>(1)

  const streamFor = (string: StudyString, room: Spectrum | null, method: Method): Stream => ({
    sampleRateHz: study.sampleRateHz,
    lowestHz: study.lowestHz,
    highestHz: study.highestHz,
    targetHz: method.family === 'aimed' ? string.targetHz : null,
    room: study.roomLearnt ? room : null,
  })

  /** Everything of a trial but what the methods say. */
  function staged(index: number): Staged {
    const trial = trialAt(study, index)
    const string = study.strings.find((entry) => entry.id === trial.string) as StudyString
    const room = study.rooms.find((entry) => entry.id === trial.room) as StudyRoom
    const scene = sceneOf(study, string, room, trial)
    const surroundings = surroundingsOf(string, room)
    const pluck = study.plucksAString !== undefined ? index : trial.repeat
    const sideKey = JSON.stringify([string.id, pluck, room.variant === 'wrong-string', surroundings])
    const side = stringSides.get(sideKey, () => {
      const rendered = renderString(scene, recordings)
      return { key: sideKey, rendered, power: meanSquareOfFirstSecond(rendered.samples, scene) }
    })
    const { stringSeed = scene.seed } = scene
    // The neighbours that ring with a room are those of the take, as far off their pitch.
    const learntOf = isDriven(surroundings.neighbours) ? stringSeed : null
    const learntSeed = learntSeedOf(study, trial.repeat)
    const shape = spectra.get(`${string.id} ${room.id} ${learntSeed} ${learntOf}`, () =>
      roomSpectrum(room.parts, study.sampleRateHz, learntSeed, recordings, string.targetHz, {
        stringSeed,
        ...surroundings,
      }),
    )
    const own = owns.get(room.id, () => ownSpectrum(surroundings.sensor, study.sampleRateHz, study.seed))
    const spectrum = heardSpectrum(shape, own, side.power, scene.room?.snrDb ?? trial.snrDb)
    return { trial, string, room, scene, side, spectrum }
  }

  const listened = (
    { method, values }: OpenMethod,
    samples: Float32Array,
    string: StudyString,
    room: Spectrum | null,
  ): readonly Reading[] => {
    const stream = streamFor(string, room, method)
    return study.untilClaim === true
      ? listenUntilClaim(method, samples, stream, values, study.claim).readings
      : listen(method, samples, stream, values)
  }

  const lowestDb = Math.min(...study.snrsDb)

  /** null: there is no string, or its twin is not heard at this ratio. */
  function twinOf({ string, side, room, trial }: Staged, opened: OpenMethod): readonly Reading[] | null {
    if (room.variant === 'no-string' || (study.plucksAString !== undefined && trial.snrDb > lowestDb)) return null
    return twins.get(`${side.key} ${JSON.stringify(opened.choice)}`, () =>
      listened(opened, side.rendered.samples, string, null),
    )
  }

  function boundFor(staged: Staged): Bound | null {
    const { scene, side, spectrum, room, trial } = staged
    const pluck = scene.plucks[0] as Pluck
    if (room.variant === 'no-string' || pluck.recording !== undefined || study.untilClaim === true) return null
    return bounds.get(`${trial.index}`, () => openBound(boundSignalOf(pluck, side.rendered.partials), spectrum))
  }

  function track(staged: Staged, rendered: Rendered, opened: OpenMethod, timed: TimingSink): Track {
    const { string, room, spectrum } = staged
    const startMs = nowMs()
    const readings = listened(opened, rendered.take.samples, string, spectrum)
    timed(readings.length, nowMs() - startMs)
    const truth = truthFor(staged, rendered)
    const twin = twinOf(staged, opened)
    const bound = boundFor(staged)
    const score = scoreReadings({
      readings,
      sampleRateHz: study.sampleRateHz,
      truth,
      twin,
      settings: study.claim,
      noString: room.variant === 'no-string',
      alwaysFalse: room.variant === 'wrong-string' && opened.method.family === 'aimed',
      ...(bound === null ? {} : { bound }),
    })
    return { method: opened.choice, readings, twin: twin ?? [], score }
  }

  const renderedOf = ({ scene, side }: Staged): Rendered =>
    mix(scene, side.rendered, renderNoise(scene, side.rendered, recordings))

  return {
    trialCount: trialCount(study),
    trialAt: (index) => trialAt(study, index),
    run(index) {
      const timings = methods.map(({ choice }) => ({ method: choice.id, frames: 0, ms: 0 }))
      const trial = trialAt(study, index)
      let scored: ((opened: OpenMethod, place: number) => { score: Score; levels: Levels }) | null = null
      const outcomes = methods.map((opened, place): Outcome => {
        const method = opened.choice
        try {
          if (scored === null) {
            const stage = staged(index)
            const rendered = renderedOf(stage)
            const levels = levelsFor(stage, rendered)
            scored = (each, at) => ({
              score: track(stage, rendered, each, (frames, ms) => Object.assign(timings[at], { frames, ms })).score,
              levels,
            })
          }
          return { state: 'scored', trial, method, ...scored(opened, place) }
        } catch (error) {
          return { state: 'failed', trial, method, problem: problemOf(error) }
        }
      })
      return { outcomes, timings }
    },
    replay(index) {
      const stage = staged(index)
      const rendered = renderedOf(stage)
      const tracks = methods.flatMap((opened) => {
        try {
          return [track(stage, rendered, opened, () => undefined)]
        } catch {
          // The outcome of this trial already tells what failed.
          return []
        }
      })
      const levels = levelsFor(stage, rendered)
      return { trial: stage.trial, scene: stage.scene, rendered, room: stage.spectrum, levels, tracks }
    },
  }
}

/** @throws Problem when nobody knows it. */
function truthFor({ string }: Staged, { take: { truth } }: Rendered): Truth {
  if (truth !== null) return truth
  throw new Problem('its pitch is not known, so nothing can be scored', string.recording ?? string.id)
}

const levelsFor = (staged: Staged, rendered: Rendered): Levels => {
  const { clean, noise, partials, take } = rendered
  const { sampleRateHz } = take
  const { targetHz } = staged.string
  return levelsOf({ clean, noise, sampleRateHz, truth: truthFor(staged, rendered), partials, targetHz })
}

type TimingSink = (frames: number, ms: number) => void

interface StringSide {
  readonly key: string
  readonly rendered: RenderedString
  readonly power: number
}

interface Staged {
  readonly trial: Trial
  readonly string: StudyString
  readonly room: StudyRoom
  readonly scene: Scene
  readonly side: StringSide
  readonly spectrum: Spectrum
}

/** Trial `index` of a study: string, room, ratio, repeat, the last one fastest. */
export function trialAt(study: Study, index: number): Trial {
  const { strings, rooms, snrsDb, repeats } = study
  if (!Number.isInteger(index) || index < 0 || index >= trialCount(study)) {
    throw new Problem(`${index} is no trial of this study: there are ${trialCount(study)}`, 'index')
  }
  const repeat = index % repeats
  const cell = Math.floor(index / repeats)
  const snrDb = snrsDb[cell % snrsDb.length] as number
  const room = rooms[Math.floor(cell / snrsDb.length) % rooms.length] as StudyRoom
  const string = strings[Math.floor(cell / snrsDb.length / rooms.length)] as StudyString
  return { index, string: string.id, room: room.id, snrDb, repeat }
}

/** The newest `size` things asked for. */
class Memory<T> {
  readonly #kept = new Map<string, T>()
  readonly #size: number

  constructor(size: number) {
    this.#size = size
  }

  get(key: string, make: () => T): T {
    const known = this.#kept.get(key)
    if (known !== undefined) return known
    const made = make()
    this.#kept.set(key, made)
    const oldest = this.#kept.keys().next().value
    if (this.#kept.size > this.#size && oldest !== undefined) this.#kept.delete(oldest)
    return made
  }
}

function problemOf(error: unknown): { what: string; where: string } {
  if (error instanceof Problem) return { what: error.message, where: error.where }
  return { what: error instanceof Error ? error.message : String(error), where: '' }
}
