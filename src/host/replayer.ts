/**
 * Replays single trials on a worker of its own, so that a page stays alive while one is rendered and heard.
 *
 * Asks one at a time; a later request makes an earlier one that has not begun obsolete (a person who clicks through
 * points wants the last). A worker that dies is replaced at the next request.
 */
import { Problem } from '../core/problem.ts'
import type { Recordings } from '../core/scene/scene.ts'
import type { Study } from '../core/study/study.ts'
import type { Replay } from '../core/study/trial.ts'
import { type FromWorker, unknownKind } from './messages.ts'
import type { WorkerPort } from './workerport.ts'

interface Request {
  readonly index: number
  readonly resolve: (replay: Replay | null) => void
  readonly reject: (problem: Problem) => void
}

export interface Replayer {
  /** Resolves with null when a later request made this one obsolete or the replayer was closed. @throws Problem */
  replay(index: number): Promise<Replay | null>
  close(): void
}

/** Starts the worker at once, so that the first request need not wait for it. */
export function openReplayer(study: Study, recordings: Recordings, spawn: () => WorkerPort): Replayer {
  let port: WorkerPort | null = null
  let current: Request | null = null
  let waiting: Request | null = null

  const begin = () => {
    current = waiting
    waiting = null
    if (current === null) return
    try {
      started().post({ kind: 'replay', index: current.index })
    } catch (error) {
      settle((request) => request.reject(new Problem(error instanceof Error ? error.message : String(error), '')))
    }
  }

  const settle = (action: (request: Request) => void) => {
    const request = current
    current = null
    if (request !== null) action(request)
    begin()
  }

  const stop = () => {
    port?.terminate()
    port = null
  }

  const hear = (message: FromWorker) => {
    switch (message.kind) {
      case 'opened':
        return
      case 'replayed':
        return settle((request) => request.resolve(message.replay))
      case 'failed':
        // A study that cannot be opened stays so: the next request gets the same answer from a new worker.
        if (message.index === null) stop()
        return settle((request) => request.reject(new Problem(message.problem.what, message.problem.where)))
      case 'ran':
        return
      default:
        return settle((request) => request.reject(new Problem(unknownKind(message), '')))
    }
  }

  const started = (): WorkerPort => {
    if (port !== null) return port
    const fresh = spawn()
    port = fresh
    fresh.onMessage((message) => port === fresh && hear(message))
    fresh.onError((what) => {
      if (port !== fresh) return
      stop()
      settle((request) => request.reject(new Problem(what, '')))
    })
    fresh.post({ kind: 'open', study, recordings: [...recordings.values()] })
    return fresh
  }

  started()
  return {
    replay: (index) =>
      new Promise((resolve, reject) => {
        waiting?.resolve(null)
        waiting = { index, resolve, reject }
        if (current === null) begin()
      }),
    close() {
      stop()
      current?.resolve(null)
      waiting?.resolve(null)
      current = null
      waiting = null
    },
  }
}
