/** What an attempt needs that takes a while: its room, and the best way to measure it by. Worked out beside the page. */
import type { Exercise } from '../../core/drill/exercise.ts'
import type { Reference } from '../../core/drill/policy.ts'
import type { RoomLoop } from '../../core/drill/sounding.ts'

export interface ToPrepare {
  readonly exercise: Exercise
  readonly seed: number
  readonly sampleRateHz: number
}

export type FromPrepare =
  | { readonly kind: 'room'; readonly room: RoomLoop }
  | { readonly kind: 'best'; readonly best: Reference }
  | { readonly kind: 'problem'; readonly what: string }

export interface Preparing {
  readonly room: Promise<RoomLoop>
  readonly best: Promise<Reference>
  /** Neither promise is kept then. */
  cancel(): void
}

export function prepare(exercise: Exercise, seed: number, sampleRateHz: number): Preparing {
  const worker = new Worker(new URL('./prepare.worker.ts', import.meta.url), { type: 'module' })
  const room = promised<RoomLoop>()
  const best = promised<Reference>()
  const fail = (what: string): void => {
    room.fail(new Error(what))
    best.fail(new Error(what))
    worker.terminate()
  }
  worker.onmessage = ({ data }: MessageEvent<FromPrepare>) => {
    if (data.kind === 'room') room.keep(data.room)
    else if (data.kind === 'best') {
      best.keep(data.best)
      worker.terminate()
    } else fail(data.what)
  }
  // A script that cannot be loaded says nothing but that it failed.
  worker.onerror = (event) => fail(event.message || 'the drill worker could not be loaded')
  worker.postMessage({ exercise, seed, sampleRateHz } satisfies ToPrepare)
  return { room: room.promise, best: best.promise, cancel: () => worker.terminate() }
}

function promised<T>() {
  let keep: (value: T) => void = () => {}
  let fail: (error: Error) => void = () => {}
  const promise = new Promise<T>((resolve, reject) => {
    keep = resolve
    fail = reject
  })
  // Nobody may be waiting for one of the two when both fail.
  promise.catch(() => undefined)
  return { promise, keep, fail }
}
