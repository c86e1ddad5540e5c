/** Body of a study worker in Node. */
import { parentPort } from 'node:worker_threads'
import type { ToWorker } from '../host/messages.ts'
import { studyServer } from '../host/serve.ts'

if (parentPort !== null) {
  const port = parentPort
  const serve = studyServer((message) => port.postMessage(message))
  port.on('message', (message: ToWorker) => serve(message))
}
