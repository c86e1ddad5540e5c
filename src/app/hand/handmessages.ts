/** Every message between the Hand page and the worker that hears its input. */
import type { WatchTold } from '../../core/plan/turnwatch.ts'
import type { HeardLevel } from '../room/hearingmessages.ts'

export type ToHand =
  /** Once, first. `tap`: the tap's own port, now the worker's. `ring` null: samples come as posted blocks. */
  | {
      readonly kind: 'open'
      readonly sampleRateHz: number
      readonly noteHz: number
      readonly tap: MessagePort
      readonly ring: SharedArrayBuffer | null
    }
  /** Another string. */
  | { readonly kind: 'note'; readonly noteHz: number }
  | { readonly kind: 'reset-meter' }

export type FromHand =
  | { readonly kind: 'level'; readonly level: HeardLevel }
  /** `ticket`: how many strings were chosen before it was heard. */
  | { readonly kind: 'told'; readonly ticket: number; readonly told: WatchTold }
  | { readonly kind: 'problem'; readonly what: string }
