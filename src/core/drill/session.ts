/**
 * A drill as it stands after some actions: where the pegs are, which string is in hand, what was claimed, what is confirmed. The
 * same exercise, seed and actions always lead to the same standing; nothing here listens or knows a clock.
 *
 * A string is confirmed by a claim of the last method inside its let-go. Its own turn voids that. Where `confirmPluck` asks for it,
 * the claim has to be made on a pluck after the last turn. On a floating bridge other strings void it too, once they moved it
 * by more than the tolerance. Where `check` asks for it, the claim counts as checked when its pluck came after all strings of
 * the instrument had been confirmed.
 */
import type { Exercise } from './exercise.ts'
import type { Action } from './log.ts'
import type { Turned, VirtualPegs } from './peg.ts'
import { type DrillString, drillPegs, drillStrings } from './strings.ts'

export interface Claim {
  readonly cents: number
  readonly method: number
  readonly atS: number
}

/** One string's standing. The session owns and changes it. */
export interface StringStanding {
  plucks: number
  /** Of the last pluck. */
  pluckedAtS: number
  /** Plucked since its last turn. */
  fresh: boolean
  /** The last claim since its last turn. */
  claim: Claim | null
  confirmed: boolean
  checked: boolean
  /** It was let go after its peg had last let it down, and it has not been wound up since. */
  fromSharp: boolean
  /** Moved by others since it was confirmed, cents. */
  pulledCents: number
}

export class Session {
  readonly exercise: Exercise
  readonly strings: readonly DrillString[]
  readonly standings: readonly StringStanding[]
  /** The string in hand; -1: none yet, or let go. */
  inHand = -1
  method = 0
  /** The instrument in hand. */
  set = 0
  finished = false
  readonly #pegs: readonly VirtualPegs[]
  /** When all strings of an instrument were confirmed for the first time. */
  readonly #allConfirmedAtS: number[]

  constructor(exercise: Exercise, seed: number) {
    this.exercise = exercise
    this.strings = drillStrings(exercise)
    this.#pegs = drillPegs(exercise, seed)
    this.#allConfirmedAtS = exercise.sets.map(() => Number.POSITIVE_INFINITY)
    this.standings = this.strings.map(() => ({
      ...{ plucks: 0, pluckedAtS: Number.NaN, fresh: false, claim: null },
      ...{ confirmed: false, checked: false, fromSharp: false, pulledCents: 0 },
    }))
  }

  residualCents(string: number): number {
    const { set, peg } = this.strings[string]
    return this.#pegs[set].residualCents(peg)
  }

  /** Degrees of the button that move the string by `cents`, its play included. */
  degreesFor(string: number, cents: number): number {
    const { set, peg } = this.strings[string]
    return this.#pegs[set].degreesFor(peg, cents)
  }

  /** What turning the button by `degrees` would do. */
  reach(string: number, degrees: number): Turned {
    const { set, peg } = this.strings[string]
    return this.#pegs[set].reach(peg, degrees)
  }

  centsPerDegree(string: number): number {
    const { set, peg } = this.strings[string]
    return this.#pegs[set].centsPerDegree(peg)
  }

  /** Nothing is asked of the string any more. */
  done(string: number): boolean {
    const { confirmed, checked } = this.standings[string]
    return confirmed && (checked || !this.exercise.check)
  }

  /** Largest |residual| over the strings that are worked on, cents. */
  worstCents(): number {
    return this.strings.reduce((most, _, at) => Math.max(most, Math.abs(this.residualCents(at))), 0)
  }

  /** Turned by an action, when that turned anything; else null. */
  apply(action: Action): Turned | null {
    switch (action.kind) {
      case 'pluck':
        this.#pluck(action.string, action.atS)
        return null
      case 'turn':
        return this.#turn(action.string, action.degrees)
      case 'method':
        this.method = action.method
        return null
      case 'claim':
        this.#claim(action)
        return null
      case 'let-go':
        this.#leave()
        return null
      case 'change':
        this.#leave()
        this.set = Math.min(this.set + 1, this.exercise.sets.length - 1)
        return null
      case 'finish':
        this.#leave()
        this.finished = true
        return null
    }
  }

  #pluck(string: number, atS: number): void {
    if (string !== this.inHand) this.#leave()
    this.inHand = string
    const standing = this.standings[string]
    standing.plucks++
    standing.pluckedAtS = atS
    standing.fresh = true
  }

  #turn(string: number, degrees: number): Turned {
    const { set, peg } = this.strings[string]
    const standing = this.standings[string]
    const before = this.strings.map((_, at) => this.residualCents(at))
    const turned = this.#pegs[set].turn(peg, degrees)
    if (turned.windDeg === 0) return turned
    Object.assign(standing, { fresh: false, claim: null, confirmed: false, checked: false })
    if (turned.windDeg > 0) standing.fromSharp = false
    if (this.exercise.bridge === 'fixed') return turned
    for (const [at, other] of this.standings.entries()) {
      if (at === string) continue
      other.pulledCents += this.residualCents(at) - before[at]
      if (Math.abs(other.pulledCents) > this.exercise.toleranceCents)
        Object.assign(other, { confirmed: false, checked: false })
    }
    return turned
  }

  #claim({ string, method, cents, atS }: Extract<Action, { kind: 'claim' }>): void {
    const { methods, confirmPluck } = this.exercise
    const standing = this.standings[string]
    standing.claim = { cents, method, atS }
    if (method !== methods.length - 1 || (confirmPluck && !standing.fresh)) return
    const inside = Math.abs(cents) <= methods[method].letGoCents
    const { set } = this.strings[string]
    standing.confirmed = inside
    standing.pulledCents = 0
    standing.checked = inside && standing.pluckedAtS > this.#allConfirmedAtS[set]
    const all = this.strings.every((other, at) => other.set !== set || this.standings[at].confirmed)
    if (all) this.#allConfirmedAtS[set] = Math.min(this.#allConfirmedAtS[set], atS)
  }

  /** The hand leaves the string: one that was let down gives way. */
  #leave(): void {
    if (this.inHand < 0) return
    const { set, peg } = this.strings[this.inHand]
    if (this.#pegs[set].cameDown(peg)) this.standings[this.inHand].fromSharp = true
    this.#pegs[set].letGo(peg)
    this.inHand = -1
  }
}
