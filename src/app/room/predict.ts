/**
 * What to expect of each method in the room of a take: a study in its noise, with its strings as they were measured, run by the
 * study workers; what its outcomes come to is told by a worker of its own.
 */
import type { NoiseFigures } from '../../core/room/noisetake.ts'
import { predictedString } from '../../core/room/predictedstring.ts'
import { predictionStudy, predictionTrials } from '../../core/room/prediction.ts'
import type { Predicted } from '../../core/room/predictionoutcome.ts'
import type { RoomString } from '../../core/room/roomstring.ts'
import type { StringFigures } from '../../core/room/stringfigures.ts'
import type { Kind } from '../../core/scene/kinds.ts'
import type { MethodChoice, Outcome } from '../../core/study/study.ts'
import { browserPort } from '../../host/browserport.ts'
import { runStudy } from '../../host/pool.ts'
import type { PredictAnswer, PredictOrder } from './predict.worker.ts'
import { takeById } from './takes.ts'

/** About what somebody plucks for one tuning of six strings, five times each. */
export const sessionPlucks = 30
/** Any will do; the same one gives the same figures for the same take. */
const seed = 1
/** Beyond it more workers wait for memory rather than compute. */
const mostJobs = 8

export interface PredictWish {
  readonly takeId: string
  readonly kind: Kind
  readonly noise: NoiseFigures
  readonly strings: readonly { readonly string: RoomString; readonly figures: StringFigures }[]
  readonly methods: readonly MethodChoice[]
}

export interface PredictedHere {
  readonly predicted: Predicted
  readonly trials: number
  /** Ids of strings that one pluck did not tell enough of. */
  readonly without: readonly string[]
}

/** A sentence where there is nothing; null: stopped. */
export async function predictHere(
  { takeId, kind, noise, strings, methods }: PredictWish,
  signal: AbortSignal,
  onProgress: (done: number, total: number, etaS: number) => void,
): Promise<PredictedHere | string | null> {
  const take = await takeById(takeId)
  const samples = take?.samples.get('noise')
  if (take === null || samples === undefined) return 'The noise of this take is gone from the browser.'
  const { sampleRateHz } = take.head
  const told = strings.map(({ string, figures }) =>
    predictedString(figures, noise, { targetHz: string.targetHz, stiffness: string.stiffness, kind }),
  )
  const known = told.flatMap((string) => string ?? [])
  const without = strings.flatMap(({ string }, at) => (told[at] === null ? [string.id] : []))
  const { study, recordings } = predictionStudy({
    ...{ noise: { samples, sampleRateHz }, strings: known, methods, seed },
  })
  const order = predictionTrials(study)
  const trials = order.length
  onProgress(0, trials, Number.NaN)
  const outcomes: Outcome[] = []
  const { done, problems } = await runStudy({
    ...{ study, recordings, spawn: browserPort, signal },
    // One core is left to what listens.
    jobs: Math.max(1, Math.min(mostJobs, (navigator.hardwareConcurrency ?? 2) - 1)),
    trials: order,
    onTrial: (_, run) => outcomes.push(...run.outcomes),
    onProgress,
  })
  if (signal.aborted) return null
  if (done < trials)
    return `The study ended after ${done} of ${trials} trials: ${problems[0]?.what ?? 'a worker stopped'}.`
  const answer = await toldBy({ strings: known, outcomes, session: { plucks: sessionPlucks, seed } }, signal)
  if (answer === null) return null
  return answer.kind === 'problem' ? answer.what : { predicted: answer.predicted, trials, without }
}

/** null: stopped. */
function toldBy(order: PredictOrder, signal: AbortSignal): Promise<PredictAnswer | null> {
  const worker = new Worker(new URL('./predict.worker.ts', import.meta.url), { type: 'module' })
  return new Promise<PredictAnswer | null>((resolve) => {
    signal.addEventListener('abort', () => resolve(null))
    worker.onmessage = ({ data }: MessageEvent<PredictAnswer>) => resolve(data)
    worker.onerror = ({ message }) => resolve({ kind: 'problem', what: message || 'the worker stopped' })
    worker.postMessage(order)
  }).finally(() => worker.terminate())
}
