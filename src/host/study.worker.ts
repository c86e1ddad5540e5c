/** Body of a study worker in the browser. */
import type { FromWorker, ToWorker } from './messages.ts'
import { studyServer } from './serve.ts'

/** The part of a dedicated worker's scope that is used here; the project's types are those of pages. */
interface WorkerScope {
  postMessage(message: FromWorker): void
  onmessage: ((event: MessageEvent<ToWorker>) => void) | null
}

const scope = globalThis as unknown as WorkerScope
const serve = studyServer((message) => scope.postMessage(message))
scope.onmessage = ({ data }) => serve(data)
