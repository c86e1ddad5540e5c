/** Every message between the Room page and the worker that hears its input: parts to be kept, the level, the string found. */
import type { NoiseFigures } from '../../core/room/noisetake.ts'
import type { RoomString } from '../../core/room/roomstring.ts'
import type { KeepWish, KeptPart } from '../../core/room/takekeeper.ts'
import type { FromEars, HeardTap } from './tapears.ts'

export type ToHearing =
  | HeardTap
  | { readonly kind: 'ask'; readonly ticket: number; readonly wish: KeepWish | null }
  | { readonly kind: 'now' }
  /** null: stop looking for the string. */
  | {
      readonly kind: 'find'
      readonly find: { readonly strings: readonly RoomString[]; readonly room: NoiseFigures | null } | null
    }
  | { readonly kind: 'reset-meter' }

export type FromHearing =
  | FromEars
  | { readonly kind: 'onset'; readonly ticket: number }
  | { readonly kind: 'kept'; readonly ticket: number; readonly part: KeptPart }
  /** Said when it changes; null: no call. */
  | { readonly kind: 'found'; readonly id: string | null }
