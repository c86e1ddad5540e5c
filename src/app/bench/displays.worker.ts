/** Body of the worker that compares three displays: one question, how far it is, one answer. */
import { Problem } from '../../core/problem.ts'
import type { Recording } from '../../core/scene/scene.ts'
import { compareDisplays, type DisplayComparison, type DisplayQuestion } from '../../core/study/displays.ts'
import type { Study } from '../../core/study/study.ts'

export interface AskDisplays {
  readonly study: Study
  readonly question: DisplayQuestion
  readonly recordings: readonly Recording[]
}
export type DisplaysAnswer =
  | { readonly comparison: DisplayComparison }
  | { readonly problem: string }
  | { readonly heard: number; readonly of: number }

interface WorkerScope {
  postMessage(message: DisplaysAnswer): void
  onmessage: ((event: MessageEvent<AskDisplays>) => void) | null
}

const scope = globalThis as unknown as WorkerScope

scope.onmessage = ({ data: { study, question, recordings } }) => {
  try {
    const known = new Map(recordings.map((recording) => [recording.id, recording]))
    const tell = (heard: number, of: number): void => scope.postMessage({ heard, of })
    scope.postMessage({ comparison: compareDisplays(study, question, known, tell) })
  } catch (cause) {
    const what = cause instanceof Problem ? cause.sentence : cause instanceof Error ? cause.message : String(cause)
    scope.postMessage({ problem: what })
  }
}
