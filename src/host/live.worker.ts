/** Body of a live worker in the browser. */
import type { FromLive, ToLive } from './livemessages.ts'
import { liveServer } from './liveserve.ts'

/** The part of a dedicated worker's scope that is used here; the project's types are those of pages. */
interface WorkerScope {
  postMessage(message: FromLive, transfer: ArrayBuffer[]): void
  onmessage: ((event: MessageEvent<ToLive>) => void) | null
}

const scope = globalThis as unknown as WorkerScope
const serve = liveServer((message, transfer = []) => scope.postMessage(message, transfer))
scope.onmessage = ({ data }) => serve(data)
