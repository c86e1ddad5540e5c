/**
 * Runs what the journal does not hold yet, part by part, on worker threads of this one process.
 *
 * Trials go repeat by repeat, all rooms and ratios of one pluck in a row: whatever is done when a run is stopped is a smaller
 * bench of the same shape, and quiet twins are used again while they are kept.
 */
import { nodePort } from '../../../src/cli/nodeport.ts'
import { trialCount } from '../../../src/core/study/record.ts'
import type { Study } from '../../../src/core/study/study.ts'
import { trialAt } from '../../../src/core/study/trial.ts'
import { runStudy } from '../../../src/host/pool.ts'
import type { CloseOutcome } from './closely.ts'
import type { Journal } from './journal.ts'
import type { Part } from './plan.ts'

export interface Stage {
  readonly part: Part
  readonly journal: Journal
  /** Expected cost of one trial on one core, s. */
  readonly trialS: number
}

/** Indexes in the order to run them. */
export function runningOrder(study: Study): number[] {
  const indexes = Array.from({ length: trialCount(study) }, (_, index) => index)
  const repeats = indexes.map((index) => trialAt(study, index).repeat)
  // Stable: within a repeat as numbered, string by string.
  return indexes.sort((a, b) => repeats[a] - repeats[b])
}

export const leftOf = ({ part, journal }: Pick<Stage, 'part' | 'journal'>): number[] =>
  runningOrder(part.study).filter((index) => !journal.trials.has(index))

const everyMs = 10_000

/** @returns whether everything was done: false after `signal`. */
export async function runStages(stages: readonly Stage[], jobs: number, signal: AbortSignal): Promise<boolean> {
  const startMs = Date.now()
  const weights = stages.map((stage) => leftOf(stage).length * stage.trialS)
  const totalS = weights.reduce((sum, weight) => sum + weight, 0)
  let doneS = 0
  let toldMs = startMs
  for (const stage of stages) {
    const { part, journal, trialS } = stage
    const trials = leftOf(stage)
    if (trials.length === 0) continue
    let done = 0
    const end = await runStudy({
      study: part.study,
      recordings: new Map(),
      spawn: () => nodePort(new URL('./worker.js', import.meta.url)),
      jobs,
      trials,
      signal,
      onTrial(index, { outcomes }) {
        journal.add(index, outcomes as readonly CloseOutcome[])
        done++
        doneS += trialS
        if (Date.now() - toldMs < everyMs) return
        toldMs = Date.now()
        const leftS = ((toldMs - startMs) / 1000 / doneS) * (totalS - doneS)
        say(`${part.id}: ${done} of ${trials.length} trials; ${minutes(leftS)} left in all`)
      },
    })
    for (const { what, index } of end.problems) say(`${part.id}, trial ${index}: ${what}`)
    if (signal.aborted || end.done < trials.length) return false
    say(`${part.id}: done`)
  }
  return true
}

export const say = (text: string): void => void process.stderr.write(`bench: ${text}\n`)

export const minutes = (seconds: number): string =>
  seconds < 90 ? `${Math.ceil(seconds)} s` : `${Math.ceil(seconds / 60)} min`
