/**
 * What in a log cost time or cents, by rule, each with its own figure. A person is told only of what could be seen or done there.
 *
 *  lingered        a claim of the method in use lay inside its let-go and the hand stayed on the string, or with the rough method, for
 *                  over `unhurriedS` more than a reaction. Figure: the seconds beyond the reaction.
 *  switched-early  the fine method was put to work on a string outside the rough one's let-go that the rough one had never
 *                  read inside it, where the best way takes the rough one first. Figure: the cents outside.
 *  from-sharp      the string was left after its peg had last let it down. Figure: what it gives way, or what the peg's play
 *                  is worth if the exercise says nothing of that; under `leastCents` it is not told.
 *  let-go-outside  the string was left for the last time while the last claim lay outside the let-go of the method that made it.
 *                  Figure: the cents outside.
 *  unconfirmed     left for the last time without a claim that confirms it (session.ts says when one does). Figure: how far it
 *                  stands off in truth.
 *  unchecked       confirmed, but not plucked again after all strings of its instrument were. Figure: as before.
 *  out-of-time     the clock stopped the work with the string not done. Figure: none of its own.
 *
 * For the last five each string is told of once, by the first that holds in the order let-go-outside, out-of-time, unconfirmed, unchecked;
 * from-sharp stands beside them.
 */
import { defaultHand } from '../plan/hand.ts'
import type { DrillStage, Exercise } from './exercise.ts'
import type { Action, Log } from './log.ts'
import { Session } from './session.ts'

export type FaultKind =
  | 'lingered'
  | 'switched-early'
  | 'from-sharp'
  | 'let-go-outside'
  | 'unconfirmed'
  | 'unchecked'
  | 'out-of-time'

export interface Fault {
  readonly kind: FaultKind
  readonly string: number
  readonly method: number
  /** 0: the rule has none. */
  readonly seconds: number
  readonly cents: number
}

/** A second more than a reaction: a person reads, nods and moves on (own choice). */
export const unhurriedS = 1
/** Less is not heard (common practice, no source). */
const leastCents = 0.3

interface Visit {
  readonly string: number
  /** When the method in use first claimed it inside; NaN: not yet. */
  insideSinceS: number
}

/** `stages`: of the best way on this seed. */
export function faultsOf(exercise: Exercise, seed: number, log: Log, stages: readonly DrillStage[]): readonly Fault[] {
  const finder = new Finder(exercise, seed, stages)
  for (const action of log) finder.follow(action)
  return finder.found()
}

class Finder {
  readonly #exercise: Exercise
  readonly #session: Session
  readonly #roughFirst: boolean
  readonly #faults: Fault[] = []
  readonly #roughInside: boolean[]
  readonly #tooEarly: boolean[]
  /** Of each string as it was left last: what its last claim lay outside by; 0: inside, or none since its turn. */
  readonly #outside: { cents: number; method: number }[]
  #visit: Visit | null = null
  #finishS = Number.NaN

  constructor(exercise: Exercise, seed: number, stages: readonly DrillStage[]) {
    this.#exercise = exercise
    this.#session = new Session(exercise, seed)
    this.#roughFirst = exercise.methods.length > 1 && stages[0].method === 0
    this.#roughInside = this.#session.strings.map(() => false)
    this.#tooEarly = this.#session.strings.map(() => false)
    this.#outside = this.#session.strings.map(() => ({ cents: 0, method: 0 }))
  }

  follow(action: Action): void {
    const session = this.#session
    const { kind, atS } = action
    if (kind === 'pluck' && action.string !== session.inHand) this.#leave(atS)
    if (kind === 'let-go' || kind === 'change' || kind === 'finish') this.#leave(atS)
    if (kind === 'method') this.#lingered(atS)
    if (kind === 'turn' && session.method === 1) this.#early(action.string)
    session.apply(action)
    if (kind === 'pluck') {
      if (this.#visit?.string !== action.string) this.#visit = { string: action.string, insideSinceS: Number.NaN }
      if (session.method === 1) this.#early(action.string)
    }
    if (kind === 'claim') this.#claim(action)
    if (kind === 'finish') this.#finishS = atS
  }

  found(): readonly Fault[] {
    const { clockS } = this.#exercise
    const session = this.#session
    const stopped = clockS > 0 && this.#finishS >= clockS
    const last = this.#exercise.methods.length - 1
    const ends = session.strings.flatMap((_, string): Fault[] => {
      const off = Math.abs(session.residualCents(string))
      const { cents, method } = this.#outside[string]
      const fault = (kind: FaultKind, figure: number, by = last): Fault[] => [
        { kind, string, method: by, seconds: 0, cents: figure },
      ]
      if (session.done(string)) return []
      if (cents > 0) return fault('let-go-outside', cents, method)
      if (stopped) return fault('out-of-time', off)
      return fault(session.standings[string].confirmed ? 'unchecked' : 'unconfirmed', off)
    })
    const { slackCents, backlashDeg } = this.#exercise
    const sharp = session.strings.flatMap((_, string): Fault[] => {
      const cents = slackCents > 0 ? slackCents : backlashDeg * session.centsPerDegree(string)
      if (!session.standings[string].fromSharp || cents < leastCents) return []
      return [{ kind: 'from-sharp', string, method: last, seconds: 0, cents }]
    })
    return [...this.#faults, ...sharp, ...ends]
  }

  #claim({ string, method, cents, atS }: Extract<Action, { kind: 'claim' }>): void {
    const { methods, confirmPluck } = this.#exercise
    const inside = Math.abs(cents) <= methods[method].letGoCents
    if (method === 0 && inside) this.#roughInside[string] = true
    const counts = method < methods.length - 1 || !confirmPluck || this.#session.standings[string].fresh
    const visit = this.#visit
    if (
      visit?.string === string &&
      method === this.#session.method &&
      inside &&
      counts &&
      Number.isNaN(visit.insideSinceS)
    )
      visit.insideSinceS = atS
  }

  #early(string: number): void {
    if (!this.#roughFirst || this.#roughInside[string] || this.#tooEarly[string]) return
    const cents = Math.abs(this.#session.residualCents(string)) - this.#exercise.methods[0].letGoCents
    if (!(cents > 0)) return
    this.#tooEarly[string] = true
    this.#faults.push({ kind: 'switched-early', string, method: 1, seconds: 0, cents })
  }

  /** The stage of this visit ends. */
  #lingered(atS: number): void {
    const visit = this.#visit
    if (visit === null || Number.isNaN(visit.insideSinceS)) return
    const seconds = atS - visit.insideSinceS - defaultHand.reactionS
    visit.insideSinceS = Number.NaN
    if (seconds > unhurriedS)
      this.#faults.push({ kind: 'lingered', string: visit.string, method: this.#session.method, seconds, cents: 0 })
  }

  #leave(atS: number): void {
    const visit = this.#visit
    if (visit === null) return
    this.#lingered(atS)
    this.#visit = null
    const { claim } = this.#session.standings[visit.string]
    const method = claim?.method ?? 0
    const over = claim === null ? 0 : Math.abs(claim.cents) - this.#exercise.methods[method].letGoCents
    this.#outside[visit.string] = { cents: Math.max(0, over), method }
  }
}
