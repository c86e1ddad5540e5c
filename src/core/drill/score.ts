/**
 * An attempt against the best way on the same seed: seconds behind it, cents behind it, and why.
 *
 * Regret is never below zero: whoever is quicker than the reckoned hand is not behind. `restS` is what the faults do not account
 * for: moves that were slower than the reckoned hand's, plucks that were not needed. Passed: nothing left undone that the best way
 * did, no string outside the tolerance (or no worse than the best way left it), and at most `passS` behind.
 */
import type { Exercise } from './exercise.ts'
import { type Fault, faultsOf } from './faults.ts'
import { finishS, type Log } from './log.ts'
import type { Reference } from './policy.ts'
import { Session } from './session.ts'

export interface DrillScore {
  readonly timeS: number
  /** Largest |residual| at the end, cents. */
  readonly worstCents: number
  /** Strings left undone. */
  readonly undone: number
  readonly bestTimeS: number
  readonly bestWorstCents: number
  /** Regret. */
  readonly lostS: number
  readonly lostCents: number
  readonly faults: readonly Fault[]
  readonly restS: number
  readonly passed: boolean
}

/** `log` ends with a finish. The faults that took most seconds, then most cents, come first. */
export function scoreOf(exercise: Exercise, seed: number, log: Log, best: Reference): DrillScore {
  const session = new Session(exercise, seed)
  for (const action of log) session.apply(action)
  const timeS = finishS(log)
  const worstCents = session.worstCents()
  const undone = session.strings.filter((_, at) => !session.done(at)).length
  const lostS = Math.max(0, timeS - best.timeS)
  const lostCents = Math.max(0, worstCents - best.worstCents)
  const faults = [...faultsOf(exercise, seed, log, best.stages)].sort(
    (a, b) => b.seconds - a.seconds || b.cents - a.cents,
  )
  const told = faults.reduce((sum, { seconds }) => sum + seconds, 0)
  return {
    ...{ timeS, worstCents, undone, bestTimeS: best.timeS, bestWorstCents: best.worstCents },
    ...{ lostS, lostCents, faults },
    restS: Math.max(0, lostS - told),
    passed:
      undone <= best.undone &&
      worstCents <= Math.max(exercise.toleranceCents, best.worstCents) &&
      lostS <= exercise.passS,
  }
}
