/** Body of a worker thread of the bench: a study worker that knows aubio too. */
import { parentPort } from 'node:worker_threads'
import type { ToWorker } from '../../../src/host/messages.ts'
import { studyServer } from '../../../src/host/serve.ts'
import { loadAubio } from './aubio.ts'
import { openBench } from './closely.ts'

if (parentPort !== null) {
  const port = parentPort
  await loadAubio()
  const serve = studyServer(
    (message) => port.postMessage(message),
    (study, recordings, nowMs = () => 0) => openBench(study, recordings, nowMs),
  )
  port.on('message', (message: ToWorker) => serve(message))
}
