/**
 * Virtual pegs: degrees of a button in, cents of every string out.
 *
 * A button that is turned the other way first takes up its play (a dead band of `backlashDeg`) and moves nothing. What then moves
 * winds string: cents per degree of the string, less what the bridge yields, and every other string follows by the coupling
 * (plan/coupling.ts). Cents are taken as linear in degrees: over the 150 c a peg may be wound here that is off by a tenth at
 * most. A string that was last let down gives way by `slackCents` once it is let go (common practice, no source). No string
 * breaks here; real ones do, so nothing is wound further up past 150 c: `refused`.
 */
import type { Coupling } from '../plan/coupling.ts'
import { neverTurnCents } from '../plan/hand.ts'

/** As far up as a peg goes: farther off a reading means an octave or a neighbour, and a real string may break. */
export const highestCents = neverTurnCents
/** As far down: below it a string flaps on its frets (own choice). */
const lowestCents = -600

export interface PegSetup {
  /** Of each string, on a rigid bridge. */
  readonly centsPerDegree: readonly number[]
  readonly coupling: Coupling
  readonly backlashDeg: number
  readonly slackCents: number
  /** Of each string: how far off it stands at first, cents. */
  readonly startCents: readonly number[]
  /** Of each button: how much of the play, 0..1, lies before it upwards at first. */
  readonly startPlay: readonly number[]
}

export interface Turned {
  /** What the button did, and what of it wound string. */
  readonly buttonDeg: number
  readonly windDeg: number
  /** It would have gone past a limit: the button stopped there. */
  readonly refused: boolean
}

export class VirtualPegs {
  readonly #setup: PegSetup
  readonly #residual: Float64Array
  /** Play still to be taken up before the button winds up, degrees. */
  readonly #playUp: Float64Array
  /** Which way the string was last moved by its own peg: -1, 0, 1. */
  readonly #direction: Int8Array

  constructor(setup: PegSetup) {
    this.#setup = setup
    this.#residual = Float64Array.from(setup.startCents)
    this.#playUp = Float64Array.from(setup.startPlay, (share) => share * setup.backlashDeg)
    this.#direction = new Int8Array(setup.startCents.length)
  }

  /** Cents off its note. */
  residualCents(string: number): number {
    return this.#residual[string]
  }

  /** Its own peg last let it down, and it has not been let go since. */
  cameDown(string: number): boolean {
    return this.#direction[string] < 0
  }

  /** Cents the string makes for a degree that winds. */
  centsPerDegree(string: number): number {
    const { centsPerDegree, coupling } = this.#setup
    return centsPerDegree[string] * coupling.yielding[string]
  }

  /** Degrees of the button that move the string by `cents`, its play included. */
  degreesFor(string: number, cents: number): number {
    const wind = cents / this.centsPerDegree(string)
    if (wind === 0) return 0
    return wind > 0 ? wind + this.#playUp[string] : wind - (this.#setup.backlashDeg - this.#playUp[string])
  }

  /** What `turn` would do. */
  reach(string: number, degrees: number): Turned {
    const { backlashDeg } = this.#setup
    const up = degrees > 0
    const free = up ? this.#playUp[string] : backlashDeg - this.#playUp[string]
    const room = up ? highestCents - this.#residual[string] : this.#residual[string] - lowestCents
    const asked = Math.max(0, Math.abs(degrees) - free)
    const wound = Math.min(asked, Math.max(0, room) / this.centsPerDegree(string))
    const refused = wound < asked
    const button = refused ? free + wound : Math.abs(degrees)
    const sign = up ? 1 : -1
    // + 0: a button that did not move moved 0, not -0.
    return { buttonDeg: sign * button + 0, windDeg: sign * wound + 0, refused }
  }

  turn(string: number, degrees: number): Turned {
    const { coupling, backlashDeg } = this.#setup
    const turned = this.reach(string, degrees)
    const { buttonDeg, windDeg } = turned
    this.#playUp[string] = Math.min(backlashDeg, Math.max(0, this.#playUp[string] - buttonDeg))
    if (windDeg !== 0) {
      this.#direction[string] = Math.sign(windDeg)
      const moved = windDeg * this.centsPerDegree(string)
      const n = this.#residual.length
      for (let j = 0; j < n; j++) this.#residual[j] += coupling.matrix[j * n + string] * moved
    }
    return turned
  }

  /** The hand leaves the string. Answers the cents by which it gave way. */
  letGo(string: number): number {
    const gives = this.cameDown(string) ? this.#setup.slackCents : 0
    this.#residual[string] -= gives
    this.#direction[string] = 0
    return gives
  }
}
