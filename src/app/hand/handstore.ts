/** What the Hand page shows: the input, what is asked for, the turns so far. session.ts writes it. */
import { create } from 'zustand'
import type { TurnPair } from '../../core/plan/handfit.ts'
import { beginHand, type HandGuide } from '../../core/plan/handguide.ts'
import { type HeardInput, type InputState, noInput } from '../room/inputstate.ts'

/** The string whose peg is turned. */
export interface HandString {
  readonly instrument: string
  /** Id of the instrument's string. */
  readonly id: string
  readonly title: string
  readonly noteHz: number
  readonly centsPerDegree: number
}

export interface HandState extends InputState<HeardInput> {
  readonly string: HandString | null
  readonly guide: HandGuide
  /** A pluck was heard and is being read. */
  readonly reading: boolean
  /** Turns that were cleared away, to be brought back; empty: none. */
  readonly cleared: readonly TurnPair[]
  /** The browser did not keep them. */
  readonly unkept: boolean
}

export const useHand = create<HandState>(() => ({
  ...noInput,
  string: null,
  guide: beginHand([]),
  reading: false,
  cleared: [],
  unkept: false,
}))
