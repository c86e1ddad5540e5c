/** Body of the worker that renders one preview at a time. */
import { Problem } from '../../core/problem.ts'
import { type PreviewAnswer, type PreviewRequest, preview } from './preview.ts'

interface WorkerScope {
  postMessage(message: PreviewAnswer, transfer?: Transferable[]): void
  onmessage: ((event: MessageEvent<PreviewRequest>) => void) | null
}

const scope = globalThis as unknown as WorkerScope

scope.onmessage = ({ data }) => {
  try {
    const answer = preview(data)
    scope.postMessage(answer, 'problem' in answer ? [] : [answer.string.buffer, answer.noise.buffer])
  } catch (cause) {
    const problem = cause instanceof Problem ? cause.sentence : cause instanceof Error ? cause.message : String(cause)
    scope.postMessage({ problem })
  }
}
