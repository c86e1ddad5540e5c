/** Every message between the Room page and the worker that hears its input: parts to be kept, the level, the string found, what the one aimed at is. */
import type { Foreign } from '../../core/room/aimedwatch.ts'
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
  /** null: no string is aimed at. */
  | {
      readonly kind: 'aim'
      readonly aim: {
        readonly string: RoomString
        readonly strings: readonly RoomString[]
        readonly room: NoiseFigures | null
      } | null
    }
  | { readonly kind: 'reset-meter' }

export type FromHearing =
  | FromEars
  | { readonly kind: 'onset'; readonly ticket: number }
  | { readonly kind: 'kept'; readonly ticket: number; readonly part: KeptPart }
  /** Said when it changes; null: no call. */
  | { readonly kind: 'found'; readonly id: string | null }
  /** `string`: id of the one that is aimed at. */
  | { readonly kind: 'plucked'; readonly string: string }
  /** Said when it changes; null: nothing that is sure. */
  | { readonly kind: 'foreign'; readonly string: string; readonly foreign: Foreign | null }
