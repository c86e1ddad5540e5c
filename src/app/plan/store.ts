/** What the Plan page shows: the choices, how far the records are, the newest answer. session.ts writes it; nothing else does. */
import { create } from 'zustand'
import type { PlanRecords } from '../../core/plan/records.ts'
import type { StudyRoom } from '../../core/study/study.ts'
import type { Phase } from '../store.ts'
import type { PlanAnswer } from './answer.ts'
import { firstChoices, type PlanChoices } from './choices.ts'
import type { Heard } from './whatif.ts'

/** A run that a person loaded; it is not in the link. */
export interface LoadedRun {
  readonly name: string
  readonly rooms: readonly StudyRoom[]
  readonly trials: number
}

export interface PlanState {
  readonly choices: PlanChoices
  readonly phase: Phase
  readonly trialsDone: number
  readonly trialsTotal: number
  readonly etaS: number
  /** null: too little was recorded for any plan. */
  readonly records: PlanRecords | null
  readonly heard: Heard
  readonly loaded: LoadedRun | null
  readonly answer: PlanAnswer | null
  /** The choices that `answer` was made for. */
  readonly answered: PlanChoices | null
  readonly planning: boolean
  /** From the last choice to its answer, ms; NaN: none yet. */
  readonly planMs: number
  /** Why there is no plan for these choices. */
  readonly problem: { readonly text: string; readonly where: string } | null
  /** About the link or the file that was opened. */
  readonly notice: string | null
}

export const usePlan = create<PlanState>(() => ({
  choices: firstChoices,
  phase: 'opening',
  trialsDone: 0,
  trialsTotal: 0,
  etaS: Number.NaN,
  records: null,
  heard: { chosen: [], slow: [] },
  loaded: null,
  answer: null,
  answered: null,
  planning: false,
  planMs: Number.NaN,
  problem: null,
  notice: null,
}))
