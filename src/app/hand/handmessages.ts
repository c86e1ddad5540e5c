/** Every message between the Hand page and the worker that hears its input. */
import type { WatchTold } from '../../core/plan/turnwatch.ts'
import type { FromEars, HeardTap } from '../room/tapears.ts'

export type ToHand =
  | (HeardTap & { readonly noteHz: number })
  /** Another string. */
  | { readonly kind: 'note'; readonly noteHz: number }
  | { readonly kind: 'reset-meter' }

export type FromHand =
  | FromEars
  /** `ticket`: how many strings were chosen before it was heard. */
  | { readonly kind: 'told'; readonly ticket: number; readonly told: WatchTold }
