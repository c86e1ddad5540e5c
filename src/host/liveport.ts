/**
 * A live worker as its owner sees it, and the one of the browser.
 */
import type { FromLive, ToLive } from './livemessages.ts'

export interface LivePort {
  post(message: ToLive, transfer?: Transferable[]): void
  /** One handler; set it before the first `post`. */
  onMessage(handler: (message: FromLive) => void): void
  /** The worker cannot start, or threw. May be called more than once. */
  onError(handler: (what: string) => void): void
  /** Ends it at once; neither handler is called afterwards. */
  terminate(): void
}

export function browserLivePort(): LivePort {
  const worker = new Worker(new URL('./live.worker.ts', import.meta.url), { type: 'module' })
  return {
    post: (message, transfer = []) => worker.postMessage(message, transfer),
    onMessage(handler) {
      worker.onmessage = ({ data }: MessageEvent<FromLive>) => handler(data)
    },
    onError(handler) {
      // A script that cannot be loaded says nothing but that it failed.
      worker.onerror = (event) => handler(event.message || 'the live worker could not be loaded')
      worker.onmessageerror = () => handler('the live worker said something that cannot be read')
    },
    terminate() {
      worker.onmessage = null
      worker.onerror = null
      worker.onmessageerror = null
      worker.terminate()
    },
  }
}
