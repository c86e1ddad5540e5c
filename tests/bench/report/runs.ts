/** What has been run, looked up by part and method. Outcomes stand in trial order, in whatever order they came in. */
import { wilson } from '../../../src/core/maths/statistics.ts'
import type { Score } from '../../../src/core/score/score.ts'
import type { Figure } from '../../../src/core/score/summary.ts'
import { trialCount } from '../../../src/core/study/record.ts'
import type { Close, CloseOutcome } from './closely.ts'
import type { Part } from './plan.ts'

export interface Told {
  readonly string: string
  readonly room: string
  readonly snrDb: number
  readonly repeat: number
  readonly score: Score
  /** Of parts that are looked at closely. */
  readonly close: Close | null
}

export interface Asked {
  readonly room?: string
  readonly snrDb?: number
  readonly strings?: readonly string[]
  /** The method with these settings; absent: with any hop but no other window. */
  readonly window?: number
}

interface Run {
  readonly part: Part
  readonly trials: ReadonlyMap<number, readonly CloseOutcome[]>
}

export class Runs {
  readonly #runs: readonly Run[]

  constructor(runs: readonly Run[]) {
    this.#runs = runs
  }

  /** Parts as they were planned, and how far they have come. */
  parts(): { readonly part: Part; readonly done: number; readonly planned: number; readonly failed: number }[] {
    return this.#runs.map(({ part, trials }) => ({
      part,
      done: trials.size,
      planned: trialCount(part.study),
      failed: [...trials.values()].flat().filter(({ state }) => state === 'failed').length,
    }))
  }

  part(id: string): Part | undefined {
    return this.#runs.find((run) => run.part.id === id)?.part
  }

  outcomes(partId: string, method: string, asked: Asked = {}): CloseOutcome[] {
    const run = this.#runs.find(({ part }) => part.id === partId)
    if (run === undefined) return []
    const indexes = [...run.trials.keys()].sort((a, b) => a - b)
    return indexes
      .flatMap((index) => run.trials.get(index) ?? [])
      .filter(
        ({ trial, method: choice }) =>
          choice.id === method &&
          choice.values.window === asked.window &&
          (asked.room === undefined || trial.room === asked.room) &&
          (asked.snrDb === undefined || trial.snrDb === asked.snrDb) &&
          (asked.strings === undefined || asked.strings.includes(trial.string)),
      )
  }

  told(partId: string, method: string, asked: Asked = {}): Told[] {
    return this.outcomes(partId, method, asked).flatMap((outcome) =>
      outcome.state === 'failed'
        ? []
        : [
            {
              string: outcome.trial.string,
              room: outcome.trial.room,
              snrDb: outcome.trial.snrDb,
              repeat: outcome.trial.repeat,
              score: outcome.score,
              close: outcome.close ?? null,
            },
          ],
    )
  }
}

/** In groups of one string and ratio: what intervals are drawn within. */
export const strata = <T>(told: readonly Told[], tell: (each: Told) => T): T[][] => [...cells(told, tell).values()]

/** The same, by name: "E2 at 20 dB". */
export function cells<T>(told: readonly Told[], tell: (each: Told) => T): Map<string, T[]> {
  const groups = new Map<string, T[]>()
  for (const each of told) {
    const key = `${each.string} at ${each.snrDb} dB`
    const group = groups.get(key)
    if (group === undefined) groups.set(key, [tell(each)])
    else group.push(tell(each))
  }
  return groups
}

/** Share of trials that `holds` says yes to; null without trials. */
export const shareOf = (told: readonly Told[], holds: (each: Told) => boolean): Figure | null =>
  told.length === 0 ? null : wilson(told.filter(holds).length, told.length)

/** Readings that are grossly wrong or declined, of all in the first second; a trial without any is wholly silent. */
export const badShare = ({ score: { readings, missing, gross } }: Told): number =>
  readings > 0 ? (missing + gross) / readings : 1
