/** What the Drill page shows, apart from sound and readings: those change too often for React. */
import { create } from 'zustand'
import type { Exercise } from '../../core/drill/exercise.ts'
import { exercises } from '../../core/drill/exercises.ts'
import type { Reference } from '../../core/drill/policy.ts'
import type { DrillScore } from '../../core/drill/score.ts'
import { startLevelDb } from '../../host/audio.ts'
import type { Kept } from './keep.ts'

/** `done`: finished; the score may still be worked out. */
export type Phase = 'ready' | 'opening' | 'running' | 'replaying' | 'done'

export interface DrillState {
  readonly exercise: Exercise
  readonly phase: Phase
  /** The string that is worked on; -1: none. */
  readonly inHand: number
  readonly method: number
  readonly set: number
  /** Of each string: nothing is asked of it any more. */
  readonly done: readonly boolean[]
  readonly problem: string | null
  /** What was just refused or asked, in a sentence; '' : nothing. */
  readonly note: string
  readonly best: Reference | null
  readonly score: DrillScore | null
  readonly kept: readonly Kept[]
  readonly refused: boolean
  readonly sound: boolean
  readonly levelDb: number
}

export const useDrill = create<DrillState>(() => ({
  ...{ exercise: exercises[0] as Exercise, phase: 'ready', inHand: -1, method: 0, set: 0, done: [] },
  ...{ problem: null, note: '', best: null, score: null, kept: [], refused: false },
  ...{ sound: false, levelDb: startLevelDb },
}))
