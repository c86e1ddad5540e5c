/** The page's side of the worker that hears the Room page's input (hearing.worker.ts). */
import type { Channel } from '../../host/messages.ts'
import type { FromHearing, ToHearing } from './hearingmessages.ts'
import { openTapWorker, type TapWorker } from './tapworker.ts'

export type RoomHearing = TapWorker<Exclude<ToHearing, { kind: 'open' }>>

/** @throws Problem when the worklet cannot be loaded. */
export const openHearing = (
  input: AudioNode,
  channel: Channel,
  onMessage: (message: FromHearing) => void,
): Promise<RoomHearing> =>
  openTapWorker<ToHearing, FromHearing>({
    ...{ input, channel, onMessage },
    start: () => new Worker(new URL('./hearing.worker.ts', import.meta.url), { type: 'module' }),
    opening: (tap) => tap,
  })
