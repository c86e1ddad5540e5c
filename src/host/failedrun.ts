/** The record of a trial that no worker could finish: one failed outcome for each method, in the study's order. */
import type { Study } from '../core/study/study.ts'
import { type TrialRun, trialAt } from '../core/study/trial.ts'
import type { Trouble } from './messages.ts'

export function failedRun(study: Study, index: number, problem: Trouble): TrialRun {
  const trial = trialAt(study, index)
  return { outcomes: study.methods.map((method) => ({ state: 'failed', trial, method, problem })), timings: [] }
}
