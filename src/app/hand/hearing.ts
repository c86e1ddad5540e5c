/** The page's side of the worker that hears a hand (hand.worker.ts). */
import tapUrl from '../../../worklets/tap.ts?worker&url'
import type { Channel } from '../../host/messages.ts'
import { connectTap } from '../../host/tap.ts'
import type { FromHand, ToHand } from './handmessages.ts'

export interface HandHearing {
  /** Memory is shared; else blocks are posted, with the same results. */
  readonly shared: boolean
  tell(message: Exclude<ToHand, { kind: 'open' }>): void
  close(): void
}

/** @throws Problem when the worklet cannot be loaded. */
export async function openHandHearing(
  input: AudioNode,
  channel: Channel,
  noteHz: number,
  onMessage: (message: FromHand) => void,
): Promise<HandHearing> {
  const { node, ring } = await connectTap(tapUrl, input, { channel })
  const worker = new Worker(new URL('./hand.worker.ts', import.meta.url), { type: 'module' })
  worker.onmessage = ({ data }: MessageEvent<FromHand>) => onMessage(data)
  worker.onerror = ({ message }) => onMessage({ kind: 'problem', what: message || 'the worker that hears stopped' })
  node.onprocessorerror = () => onMessage({ kind: 'problem', what: 'the tap stopped' })
  const open: ToHand = { kind: 'open', sampleRateHz: input.context.sampleRate, noteHz, tap: node.port, ring }
  worker.postMessage(open, [node.port])
  return {
    shared: ring !== null,
    tell: (message) => worker.postMessage(message),
    close() {
      worker.terminate()
      input.disconnect(node)
    },
  }
}
