/** A made exercise, a detector by rule, and a person by script, for the tests of the drill. */
import { type Exercise, parseExercise } from '../../src/core/drill/exercise.ts'
import type { Action, Log } from '../../src/core/drill/log.ts'
import type { Detector } from '../../src/core/drill/policy.ts'
import { Session } from '../../src/core/drill/session.ts'

export const made = (over: Readonly<Record<string, unknown>> = {}): Exercise =>
  parseExercise({
    ...{ schema: 1, id: 'made', title: 'Made', task: '', room: 'bench-quiet' },
    sets: [{ instrument: 'ring-rhythm', strings: [5] }],
    methods: [{ id: 'partial-fit', letGoCents: 2 }],
    ...over,
  })

/** Locks after so long and is off by so much, every time. */
export const steadyDetector = (lockS: readonly number[] = [0.4], errorCents: readonly number[] = [0]): Detector => ({
  hear: ({ method, residualCents }) => ({
    lockS: lockS[method] ?? 0.4,
    cents: residualCents + (errorCents[method] ?? 0),
  }),
})

/** Does things one after the other; times are what the script says. */
export class Scripted {
  readonly session: Session
  readonly log: Action[] = []
  timeS = 0

  constructor(exercise: Exercise, seed: number) {
    this.session = new Session(exercise, seed)
  }

  wait(seconds: number): this {
    this.timeS += seconds
    return this
  }

  pluck(string: number): this {
    return this.#do({ kind: 'pluck', atS: this.timeS, string })
  }

  method(method: number): this {
    return this.#do({ kind: 'method', atS: this.timeS, method })
  }

  /** The method in use claims what the string does, off by `errorCents`. */
  claim(string: number, errorCents = 0): this {
    const cents = this.session.residualCents(string) + errorCents
    return this.#do({ kind: 'claim', atS: this.timeS, string, method: this.session.method, cents })
  }

  /** Moves the string by so many cents. */
  turn(string: number, cents: number): this {
    return this.#do({ kind: 'turn', atS: this.timeS, string, degrees: this.session.degreesFor(string, cents) })
  }

  letGo(string: number): this {
    return this.#do({ kind: 'let-go', atS: this.timeS, string })
  }

  change(): this {
    return this.#do({ kind: 'change', atS: this.timeS })
  }

  finish(): Log {
    this.#do({ kind: 'finish', atS: this.timeS })
    return this.log
  }

  /** From flat, or from sharp under the note and up. */
  home(string: number): this {
    const off = this.session.residualCents(string)
    if (off <= 0) return this.turn(string, -off)
    return this.turn(string, -(off + 6))
      .wait(0.2)
      .turn(string, 6)
  }

  #do(action: Action): this {
    this.session.apply(action)
    this.log.push(action)
    return this
  }
}
