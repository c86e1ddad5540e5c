/**
 * Runs the trials of a study on several workers at once. One bad worker never ends a study.
 *
 * A trial in flight belongs to one worker. A worker that dies, hangs at its start or hangs in a trial is replaced; its
 * trial is done once more and, if it fails again, recorded as failed outcomes. A trial that throws would throw again on
 * the same samples and is recorded at once. A worker's place that cannot be filled in three tries stays empty.
 * Trials are begun about in the order given and reported as they end: who needs an order keeps what comes early. A worker
 * is given trials of string sides it has heard before, if there are any near the front: it keeps their quiet twins.
 */
import { Problem } from '../core/problem.ts'
import type { Recordings } from '../core/scene/scene.ts'
import type { Study } from '../core/study/study.ts'
import { type TrialRun, trialAt } from '../core/study/trial.ts'
import { failedRun } from './failedrun.ts'
import { type FromWorker, type Trouble, unknownKind } from './messages.ts'
import type { WorkerPort } from './workerport.ts'

export interface StudyOrder {
  readonly study: Study
  readonly recordings: Recordings
  readonly spawn: () => WorkerPort
  /** Workers at once; never more than there are trials. */
  readonly jobs: number
  /** Indexes still to do, about in the order to begin them. */
  readonly trials: readonly number[]
  onTrial(index: number, run: TrialRun): void
  /** `etaS` is NaN before the first trial has ended. */
  onProgress?(done: number, total: number, etaS: number): void
  /** Aborting ends every worker at once. */
  readonly signal?: AbortSignal
  /** How long a worker may take to open the study, ms. */
  readonly startMs?: number
  /** How long one trial may take, ms. */
  readonly trialMs?: number
}

export interface StudyEnd {
  /** Trials reported, failed ones included. */
  readonly done: number
  readonly cancelled: boolean
  /** What went wrong with workers; `index` is the trial it happened to, null at a start. */
  readonly problems: readonly (Trouble & { readonly index: number | null })[]
}

/** Reading a bundle and rendering rooms takes a second or two; a busy laptop may be ten times slower. */
const startMsDefault = 30_000
/** The slowest method listed needs some 20 s for a long take; ten times that is a hang. */
const trialMsDefault = 200_000
const mostStarts = 3
/** Trials are picked from this many at the front, and none is passed over more often: two rooms at seven ratios. */
const lookAhead = 14
const mostTries = 2

/**
 * Resolves when every trial is reported, on abort, or when no worker can be started (then `done` falls short).
 * @throws Problem when the study cannot be opened; whatever `onTrial` or `onProgress` throws.
 */
export function runStudy(order: StudyOrder): Promise<StudyEnd> {
  return new Promise((resolve, reject) => new Pool(order, resolve, reject).begin())
}

/** One worker's place. `index` null: still opening the study. */
interface Place {
  port: WorkerPort | null
  index: number | null
  failedStarts: number
  /** String sides whose quiet twins this worker has computed. */
  heard: Set<string>
  timer: ReturnType<typeof setTimeout> | undefined
}

class Pool {
  readonly #order: StudyOrder
  readonly #resolve: (end: StudyEnd) => void
  readonly #reject: (reason: unknown) => void
  readonly #waiting: number[]
  readonly #tries = new Map<number, number>()
  readonly #problems: (Trouble & { index: number | null })[] = []
  #places: Place[] = []
  #done = 0
  /** How often the trial at the front was passed over. */
  #passed = 0
  #startedMs = Number.NaN
  #ended = false

  constructor(order: StudyOrder, resolve: (end: StudyEnd) => void, reject: (reason: unknown) => void) {
    this.#order = order
    this.#resolve = resolve
    this.#reject = reject
    this.#waiting = [...order.trials]
  }

  begin(): void {
    const { jobs, signal } = this.#order
    if (signal?.aborted || this.#waiting.length === 0) {
      this.#end()
      return
    }
    signal?.addEventListener('abort', this.#abort)
    const count = Math.max(1, Math.min(Math.floor(jobs), this.#waiting.length))
    this.#places = Array.from({ length: count }, () => ({
      port: null,
      index: null,
      failedStarts: 0,
      heard: new Set<string>(),
      timer: undefined,
    }))
    for (const place of [...this.#places]) this.#start(place)
  }

  readonly #abort = (): void => this.#end()

  #start(place: Place): void {
    if (this.#ended) return
    if (this.#waiting.length === 0) {
      this.#leave(place)
      return
    }
    place.index = null
    place.heard.clear()
    try {
      const port = this.#order.spawn()
      place.port = port
      port.onMessage((message) => this.#guard(() => port === place.port && this.#hear(place, message)))
      port.onError((what) => this.#guard(() => port === place.port && this.#lost(place, what)))
      this.#expect(place, this.#order.startMs ?? startMsDefault, 'did not open the study')
      port.post({ kind: 'open', study: this.#order.study, recordings: [...this.#order.recordings.values()] })
    } catch (error) {
      this.#lost(place, error instanceof Error ? error.message : String(error))
    }
  }

  #hear(place: Place, message: FromWorker): void {
    switch (message.kind) {
      case 'opened':
        place.failedStarts = 0
        if (Number.isNaN(this.#startedMs)) this.#startedMs = performance.now()
        this.#feed(place)
        break
      case 'ran':
        if (message.index === place.index) {
          this.#report(message.index, message.run)
          this.#feed(place)
        } else this.#lost(place, `it answered trial ${message.index} unasked`)
        break
      case 'failed':
        if (message.index === null) this.#fail(new Problem(message.problem.what, message.problem.where))
        else if (message.index === place.index) {
          this.#giveUp(message.index, message.problem)
          this.#feed(place)
        } else this.#lost(place, `it failed trial ${message.index} unasked`)
        break
      case 'replayed':
        this.#lost(place, `it replayed trial ${message.index} unasked`)
        break
      default:
        this.#lost(place, unknownKind(message))
    }
  }

  #feed(place: Place): void {
    clearTimeout(place.timer)
    if (this.#ended) return
    const index = this.#next(place)
    if (index === undefined) {
      this.#leave(place)
      return
    }
    place.index = index
    this.#expect(place, this.#order.trialMs ?? trialMsDefault, 'did not end its trial')
    place.port?.post({ kind: 'run', index })
  }

  /** Of the trials near the front: one whose string side this worker has heard, else one that no other has, else the first. */
  #next(place: Place): number | undefined {
    const near = this.#waiting.slice(0, lookAhead).map((index) => sideOf(this.#order.study, index))
    const own = near.findIndex((side) => place.heard.has(side))
    const fresh = near.findIndex((side) => this.#places.every((other) => !other.heard.has(side)))
    const wanted = own >= 0 ? own : Math.max(0, fresh)
    const at = this.#passed < lookAhead ? wanted : 0
    this.#passed = at === 0 ? 0 : this.#passed + 1
    const [index] = this.#waiting.splice(at, 1)
    if (index !== undefined) place.heard.add(near[at])
    return index
  }

  #expect(place: Place, limitMs: number, failing: string): void {
    clearTimeout(place.timer)
    place.timer = setTimeout(
      () => this.#guard(() => this.#lost(place, `the worker ${failing} within ${limitMs / 1000} s`)),
      limitMs,
    )
  }

  /** The worker is of no use any more: another one takes its place, and its trial waits at the front. */
  #lost(place: Place, what: string): void {
    const { index } = place
    this.#problems.push({ index, what, where: '' })
    this.#dismiss(place)
    if (index === null) {
      place.failedStarts++
      if (place.failedStarts >= mostStarts) {
        this.#leave(place)
        return
      }
    } else {
      const tries = (this.#tries.get(index) ?? 0) + 1
      this.#tries.set(index, tries)
      if (tries >= mostTries) this.#giveUp(index, { what, where: '' })
      else this.#waiting.unshift(index)
    }
    this.#start(place)
  }

  #giveUp(index: number, problem: Trouble): void {
    this.#report(index, failedRun(this.#order.study, index, problem))
  }

  #report(index: number, run: TrialRun): void {
    this.#done++
    this.#order.onTrial(index, run)
    if (this.#ended) return
    const total = this.#order.trials.length
    const perTrialS = (performance.now() - this.#startedMs) / 1000 / this.#done
    this.#order.onProgress?.(this.#done, total, perTrialS * (total - this.#done))
  }

  #dismiss(place: Place): void {
    clearTimeout(place.timer)
    place.port?.terminate()
    place.port = null
  }

  #leave(place: Place): void {
    this.#dismiss(place)
    this.#places = this.#places.filter((other) => other !== place)
    if (this.#places.length === 0) this.#end()
  }

  /** What the caller's own functions throw ends the study, not the thread that happened to call them. */
  #guard(action: () => void): void {
    if (this.#ended) return
    try {
      action()
    } catch (error) {
      this.#fail(error)
    }
  }

  #fail(reason: unknown): void {
    this.#close()
    this.#reject(reason)
  }

  #end(): void {
    if (this.#ended) return
    this.#close()
    const cancelled = this.#order.signal?.aborted === true && this.#done < this.#order.trials.length
    this.#resolve({ done: this.#done, cancelled, problems: this.#problems })
  }

  #close(): void {
    this.#ended = true
    this.#order.signal?.removeEventListener('abort', this.#abort)
    for (const place of this.#places) this.#dismiss(place)
  }
}

/** What trials with the same string side have in common. */
function sideOf(study: Study, index: number): string {
  const { string, room, repeat } = trialAt(study, index)
  return `${string} ${repeat} ${room.endsWith('/wrong-string')}`
}
