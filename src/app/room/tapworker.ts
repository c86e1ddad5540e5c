/** The page's side of a worker that hears its input (tapears.ts): a tap of its own, beside that of the live methods. */
import tapUrl from '../../../worklets/tap.ts?worker&url'
import type { Channel } from '../../host/messages.ts'
import { connectTap } from '../../host/tap.ts'
import type { FromEars, HeardTap } from './tapears.ts'

export interface TapWorker<To> {
  /** Memory is shared; else blocks are posted, with the same results. */
  readonly shared: boolean
  tell(message: To): void
  close(): void
}

export interface TapWish<To, From> {
  readonly input: AudioNode
  readonly channel: Channel
  /** Not before the tap is there. */
  start(): Worker
  /** The worker's first message. */
  opening(tap: HeardTap): To & HeardTap
  onMessage(message: From | FromEars): void
}

/** @throws Problem when the worklet cannot be loaded. */
export async function openTapWorker<To, From>(
  wish: TapWish<To, From>,
): Promise<TapWorker<Exclude<To, { readonly kind: 'open' }>>> {
  const { input, channel, start, opening, onMessage } = wish
  const { node, ring } = await connectTap(tapUrl, input, { channel })
  const worker = start()
  worker.onmessage = ({ data }: MessageEvent<From | FromEars>) => onMessage(data)
  worker.onerror = ({ message }) => onMessage({ kind: 'problem', what: message || 'the worker that hears stopped' })
  node.onprocessorerror = () => onMessage({ kind: 'problem', what: 'the tap stopped' })
  const tap: HeardTap = { kind: 'open', sampleRateHz: input.context.sampleRate, tap: node.port, ring }
  worker.postMessage(opening(tap), [node.port])
  return {
    shared: ring !== null,
    tell: (message) => worker.postMessage(message),
    close() {
      worker.terminate()
      input.disconnect(node)
    },
  }
}
