/** Body of a worker thread of the bench: a study worker that knows aubio too. `worker.js?closely` looks at its trials closely. */
import { parentPort } from 'node:worker_threads'
import type { ToWorker } from '../../../src/host/messages.ts'
import { studyServer } from '../../../src/host/serve.ts'
import { loadAubio } from './aubio.ts'
import { openBench } from './closely.ts'

if (parentPort !== null) {
  const port = parentPort
  await loadAubio()
  const closely = new URL(import.meta.url).search === '?closely'
  const serve = studyServer(
    (message) => port.postMessage(message),
    (study, recordings, nowMs = () => 0) => openBench(study, recordings, nowMs, closely),
  )
  port.on('message', (message: ToWorker) => serve(message))
}
