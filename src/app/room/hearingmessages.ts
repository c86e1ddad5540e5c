/** Every message between the Room page and the worker that hears its input: parts to be kept, the level, the string found. */
import type { NoiseFigures } from '../../core/room/noisetake.ts'
import type { RoomString } from '../../core/room/roomstring.ts'
import type { KeepWish, KeptPart } from '../../core/room/takekeeper.ts'

export type ToHearing =
  /** Once, first. `tap`: the tap's own port, now the worker's. `ring` null: samples come as posted blocks. */
  | {
      readonly kind: 'open'
      readonly sampleRateHz: number
      readonly tap: MessagePort
      readonly ring: SharedArrayBuffer | null
    }
  | { readonly kind: 'ask'; readonly ticket: number; readonly wish: KeepWish | null }
  | { readonly kind: 'now' }
  /** null: stop looking for the string. */
  | {
      readonly kind: 'find'
      readonly find: { readonly strings: readonly RoomString[]; readonly room: NoiseFigures | null } | null
    }
  | { readonly kind: 'reset-meter' }

export interface HeardLevel {
  /** Highest since the last reset, dB of full scale. */
  readonly peakDb: number
  /** dB of a full-scale sine. */
  readonly rmsDb: number
  /** Lowest of the last ten seconds, likewise. */
  readonly floorDb: number
  readonly overloaded: boolean
  readonly lostSamples: number
}

export type FromHearing =
  | { readonly kind: 'level'; readonly level: HeardLevel }
  | { readonly kind: 'onset'; readonly ticket: number }
  | { readonly kind: 'kept'; readonly ticket: number; readonly part: KeptPart }
  /** Said when it changes; null: no call. */
  | { readonly kind: 'found'; readonly id: string | null }
  | { readonly kind: 'problem'; readonly what: string }
