/** The page's side of the worker that hears its input (hearing.worker.ts): a tap of its own, beside that of the live methods. */
import tapUrl from '../../../worklets/tap.ts?worker&url'
import type { Channel } from '../../host/messages.ts'
import { connectTap } from '../../host/tap.ts'
import type { FromHearing, ToHearing } from './hearingmessages.ts'

export interface RoomHearing {
  /** Memory is shared; else blocks are posted, with the same results. */
  readonly shared: boolean
  tell(message: Exclude<ToHearing, { kind: 'open' }>): void
  close(): void
}

/** @throws Problem when the worklet cannot be loaded. */
export async function openHearing(
  input: AudioNode,
  channel: Channel,
  onMessage: (message: FromHearing) => void,
): Promise<RoomHearing> {
  const { node, ring } = await connectTap(tapUrl, input, { channel })
  const worker = new Worker(new URL('./hearing.worker.ts', import.meta.url), { type: 'module' })
  worker.onmessage = ({ data }: MessageEvent<FromHearing>) => onMessage(data)
  worker.onerror = ({ message }) => onMessage({ kind: 'problem', what: message || 'the worker that hears stopped' })
  node.onprocessorerror = () => onMessage({ kind: 'problem', what: 'the tap stopped' })
  const open: ToHearing = { kind: 'open', sampleRateHz: input.context.sampleRate, tap: node.port, ring }
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
