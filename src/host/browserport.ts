/** A study worker in the browser. */
import type { FromWorker } from './messages.ts'
import type { WorkerPort } from './workerport.ts'

export function browserPort(): WorkerPort {
  const worker = new Worker(new URL('./study.worker.ts', import.meta.url), { type: 'module' })
  return {
    post: (message) => worker.postMessage(message),
    onMessage(handler) {
      worker.onmessage = ({ data }: MessageEvent<FromWorker>) => handler(data)
    },
    onError(handler) {
      // A script that cannot be loaded says nothing but that it failed.
      worker.onerror = (event) => handler(event.message || 'the worker could not be loaded')
      worker.onmessageerror = () => handler('the worker said something that cannot be read')
    },
    terminate() {
      worker.onmessage = null
      worker.onerror = null
      worker.onmessageerror = null
      worker.terminate()
    },
  }
}
