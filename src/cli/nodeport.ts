/** A study worker as a thread of Node. */
import { Worker } from 'node:worker_threads'
import type { FromWorker } from '../host/messages.ts'
import type { WorkerPort } from '../host/workerport.ts'

/** `script`: the bundled worker, which lies beside the bundled command line. */
export function nodePort(script: URL = new URL('./study.worker.js', import.meta.url)): WorkerPort {
  const worker = new Worker(script)
  return {
    post: (message) => worker.postMessage(message),
    onMessage: (handler) => void worker.on('message', (message: FromWorker) => handler(message)),
    onError(handler) {
      worker.on('error', (error) => handler(error.message))
      worker.on('messageerror', (error) => handler(error.message))
      worker.on('exit', (code) => handler(`the worker ended with code ${code}`))
    },
    terminate() {
      worker.removeAllListeners()
      // An error while it is being ended is nobody's business any more, and without a listener it would end the process.
      worker.on('error', () => {})
      void worker.terminate()
    },
  }
}
