/** Body of the worker that draws a thousand sessions from a prediction's outcomes. */
import { Problem } from '../../core/problem.ts'
import type { PredictedString } from '../../core/room/predictedstring.ts'
import { type Predicted, predictionOf, type SessionWish } from '../../core/room/predictionoutcome.ts'
import type { Outcome } from '../../core/study/study.ts'

export interface PredictOrder {
  readonly strings: readonly PredictedString[]
  readonly outcomes: readonly Outcome[]
  readonly session: SessionWish
}

export type PredictAnswer =
  | { readonly kind: 'predicted'; readonly predicted: Predicted }
  | { readonly kind: 'problem'; readonly what: string }

interface WorkerScope {
  postMessage(message: PredictAnswer): void
  onmessage: ((event: MessageEvent<PredictOrder>) => void) | null
}

const scope = globalThis as unknown as WorkerScope

scope.onmessage = ({ data: { strings, outcomes, session } }) => {
  try {
    scope.postMessage({ kind: 'predicted', predicted: predictionOf(strings, outcomes, session) })
  } catch (cause) {
    const what = cause instanceof Problem ? cause.sentence : cause instanceof Error ? cause.message : String(cause)
    scope.postMessage({ kind: 'problem', what })
  }
}
