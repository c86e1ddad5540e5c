/**
 * A study worker as its owner sees it, whether a browser or Node runs it (browserport.ts, src/cli/nodeport.ts), or a test.
 */
import type { FromWorker, ToWorker } from './messages.ts'

export interface WorkerPort {
  /** What is sent is copied. */
  post(message: ToWorker): void
  /** One handler; messages that come before it is set may be lost, so set it before the first `post`. */
  onMessage(handler: (message: FromWorker) => void): void
  /** The worker cannot start, threw outside a trial, or ended unasked. May be called more than once. */
  onError(handler: (what: string) => void): void
  /** Ends it at once, whatever it is doing; neither handler is called afterwards for what it still says. */
  terminate(): void
}
