/** Body of the worker that examines one replay at a time. */
import { type ExamineAnswer, type ExamineRequest, examine } from './examine.ts'

interface WorkerScope {
  postMessage(message: ExamineAnswer): void
  onmessage: ((event: MessageEvent<ExamineRequest>) => void) | null
}

const scope = globalThis as unknown as WorkerScope

scope.onmessage = ({ data }) => {
  try {
    scope.postMessage({ examination: examine(data.study, data.replay, data.span) })
  } catch (error) {
    scope.postMessage({ problem: error instanceof Error ? error.message : String(error) })
  }
}
