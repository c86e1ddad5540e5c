/** What the Hand page shows: the input, what is asked for, the turns so far. session.ts writes it. */
import { create } from 'zustand'
import type { TurnPair } from '../../core/plan/handfit.ts'
import { beginHand, type HandGuide } from '../../core/plan/handguide.ts'
import type { CaptureState } from '../../host/capture.ts'
import type { AppliedSettings } from '../../host/devices.ts'
import type { Channel } from '../../host/messages.ts'
import type { NamedInput } from '../room/roomstore.ts'

export interface HandInput {
  readonly label: string
  readonly rateHz: number
  readonly shared: boolean
  readonly applied: AppliedSettings | null
  readonly notes: readonly string[]
  readonly state: CaptureState
}

/** The string whose peg is turned. */
export interface HandString {
  readonly instrument: string
  /** Id of the instrument's string. */
  readonly id: string
  readonly title: string
  readonly noteHz: number
  readonly centsPerDegree: number
}

export interface HandState {
  readonly string: HandString | null
  readonly device: NamedInput
  readonly channel: Channel
  /** Named after permission only. */
  readonly devices: readonly NamedInput[]
  readonly opening: boolean
  readonly input: HandInput | null
  readonly problem: string | null
  readonly guide: HandGuide
  /** A pluck was heard and is being read. */
  readonly reading: boolean
  /** Turns that were cleared away, to be brought back; empty: none. */
  readonly cleared: readonly TurnPair[]
  /** The browser did not keep them. */
  readonly unkept: boolean
}

export const useHand = create<HandState>(() => ({
  string: null,
  device: { id: '', label: '' },
  channel: 'left',
  devices: [],
  opening: false,
  input: null,
  problem: null,
  guide: beginHand([]),
  reading: false,
  cleared: [],
  unkept: false,
}))
