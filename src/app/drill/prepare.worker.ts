/** Makes the room of an attempt first, for somebody waits for it, then plays the best way on its seed by listening. */
import { freshDetector } from '../../core/drill/fresh.ts'
import { bestWay } from '../../core/drill/policy.ts'
import { roomLoop } from '../../core/drill/sounding.ts'
import { Problem } from '../../core/problem.ts'
import type { FromPrepare, ToPrepare } from './prepare.ts'

/** The part of a dedicated worker's scope that is used here; the project's types are those of pages. */
interface WorkerScope {
  postMessage(message: FromPrepare, transfer?: ArrayBuffer[]): void
  onmessage: ((event: MessageEvent<ToPrepare>) => void) | null
}

const scope = globalThis as unknown as WorkerScope

scope.onmessage = ({ data: { exercise, seed, sampleRateHz } }) => {
  try {
    const room = roomLoop(exercise, seed, sampleRateHz)
    scope.postMessage({ kind: 'room', room }, [room.samples.buffer as ArrayBuffer])
    scope.postMessage({ kind: 'best', best: bestWay(exercise, seed, freshDetector(exercise, seed)) })
  } catch (error) {
    scope.postMessage({ kind: 'problem', what: error instanceof Problem ? error.sentence : String(error) })
  }
}
