/** The page's side of the worker that hears a hand (hand.worker.ts). */
import type { Channel } from '../../host/messages.ts'
import { openTapWorker, type TapWorker } from '../room/tapworker.ts'
import type { FromHand, ToHand } from './handmessages.ts'

export type HandHearing = TapWorker<Exclude<ToHand, { kind: 'open' }>>

/** @throws Problem when the worklet cannot be loaded. */
export const openHandHearing = (
  input: AudioNode,
  channel: Channel,
  noteHz: number,
  onMessage: (message: FromHand) => void,
): Promise<HandHearing> =>
  openTapWorker<ToHand, FromHand>({
    ...{ input, channel, onMessage },
    start: () => new Worker(new URL('./hand.worker.ts', import.meta.url), { type: 'module' }),
    opening: (tap) => ({ ...tap, noteHz }),
  })
