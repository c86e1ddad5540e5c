/**
 * Many evenings at once: a chain of stages worked through string by string, for a fixed table of chance.
 *
 * One cycle: pluck -> wait for the claim or the time-out -> react -> let go if |claim| <= let-go, else turn, and pluck again. Two
 * plucks in a row without a usable reading leave the string unverified. A string counts as verified only while its last visit
 * ended inside the let-go. Residuals r are true cents off; the claim is r plus the recorded error. Turning string i by D moves
 * string j by matrix[j, i] D.
 */
import type { Stage } from './chain.ts'
import { type Coupling, turnsTogether } from './coupling.ts'
import type { Draws } from './draws.ts'
import { failedPlucks, type Hand, neverTurnCents, type Work } from './hand.ts'
import type { PluckOutcomes, WantedPluck } from './plucks.ts'
import type { PlanString } from './records.ts'

/** Where every episode stands after some stages. Row-major [episode * strings + string]. */
export interface Standing {
  readonly timeS: Float64Array
  readonly residualCents: Float64Array
  /** Plucks so far: the next one's place in the table of chance. */
  readonly plucks: Uint32Array
  /** What the last of them was (plucks.ts). */
  readonly last: Int32Array
  readonly verified: Uint8Array
}

export interface Setting {
  readonly strings: readonly PlanString[]
  readonly coupling: Coupling
  readonly snrDb: number
  readonly hand: Hand
  readonly work: Work
  readonly draws: Draws
  readonly plucks: PluckOutcomes
  /** Whether what a method reads off in quiet was taken on these very strings, and is subtracted from its claims. */
  readonly offsetsKnown: boolean
}

/** A string that needs more turns than this in one visit is given up: a hand with a gain spread under 0.4 needs three. */
const mostTurns = 12

export function startOf({ draws, strings, hand }: Setting): Standing {
  const count = draws.episodes * strings.length
  return {
    timeS: new Float64Array(draws.episodes),
    residualCents: Float64Array.from({ length: count }, (_, at) =>
      draws.startCents(Math.floor(at / strings.length), at % strings.length, hand),
    ),
    plucks: new Uint32Array(count),
    last: new Int32Array(count).fill(-1),
    verified: new Uint8Array(count),
  }
}

/** Answers a new standing; the one given stays as it is. `last`: up to `morePasses` more passes and the check follow. */
export function afterStage(setting: Setting, before: Standing, stage: Stage, last: boolean): Standing {
  const after: Standing = {
    timeS: before.timeS.slice(),
    residualCents: before.residualCents.slice(),
    plucks: before.plucks.slice(),
    last: before.last.slice(),
    verified: before.verified.slice(),
  }
  const { episodes } = setting.draws
  for (let episode = 0; episode < episodes; episode++) new Episode(setting, after, episode).stage(stage, last)
  return after
}

/** How a visit ended. `clean`: let go after its first pluck. */
type Ending = 'clean' | 'turned' | 'lost'

class Episode {
  readonly #setting: Setting
  readonly #standing: Standing
  readonly #episode: number
  readonly #n: number
  readonly #base: number
  readonly #wanted: WantedPluck = { snrDb: 0, harderDb: 0, residualCents: 0, last: -1 }

  constructor(setting: Setting, standing: Standing, episode: number) {
    this.#setting = setting
    this.#standing = standing
    this.#episode = episode
    this.#n = setting.strings.length
    this.#base = episode * this.#n
  }

  stage(stage: Stage, last: boolean): void {
    if (stage.ahead === true) this.#passAhead(stage)
    else this.#pass(stage)
    if (!last) return
    const { morePasses } = this.#setting.work
    for (let more = 0; more < morePasses; more++) if (this.#pass({ ...stage, handOver: 'confirm' })) break
    // The check: a pluck a string, and what reads outside the let-go is put right on the spot.
    this.#pass({ ...stage, handOver: 'confirm' })
  }

  /** True: every string was let go after its first pluck. */
  #pass(stage: Stage): boolean {
    let clean = true
    for (let i = 0; i < this.#n; i++) if (this.#visit(i, stage, 0) !== 'clean') clean = false
    return clean
  }

  /**
   * Every string is plucked once, all turns are worked out together, then each string is brought to where the turns still to come
   * will move it to its note. What is known of the strings' pull on each other is a little wrong.
   */
  #passAhead(stage: Stage): void {
    const n = this.#n
    const { coupling, draws, work } = this.#setting
    const seen = new Float64Array(n)
    for (let i = 0; i < n; i++) {
      const claim = this.#pluckUntilRead(i, stage.method)
      seen[i] = Number.isNaN(claim) ? 0 : claim
    }
    const known = coupling.matrix.map((value, at) =>
      at % (n + 1) === 0 ? value : value * draws.matrixFactor(this.#episode, Math.floor(at / n), at % n, work),
    )
    const turns = turnsTogether({ n, matrix: known }, seen)
    // What is known of the strings contradicts itself: they are tuned one by one.
    if (turns === null) {
      this.#pass(stage)
      return
    }
    for (let i = 0; i < n; i++) {
      let later = 0
      for (let j = i + 1; j < n; j++) later += known[i * n + j] * turns[j]
      this.#visit(i, stage, -later)
    }
  }

  /** Tunes string i so that it stands `aimCents` off its note. */
  #visit(i: number, stage: Stage, aimCents: number): Ending {
    const { timeS, verified } = this.#standing
    const at = this.#base + i
    verified[at] = 0
    for (let turns = 0; turns <= mostTurns; turns++) {
      const claim = this.#pluckUntilRead(i, stage.method)
      if (Number.isNaN(claim)) return 'lost'
      const off = claim - aimCents
      if (Math.abs(off) <= stage.letGoCents) {
        verified[at] = 1
        return turns === 0 ? 'clean' : 'turned'
      }
      timeS[this.#episode] += this.#turn(i, off)
      if (stage.handOver === 'turn-once') return 'turned'
    }
    return 'lost'
  }

  /** NaN: given up. */
  #pluckUntilRead(i: number, method: number): number {
    for (let failed = 0; failed < failedPlucks; failed++) {
      const claim = this.#pluckOnce(i, method)
      if (Math.abs(claim) <= neverTurnCents) return claim
    }
    return Number.NaN
  }

  /** What the display says the string is off; NaN: it never settled. */
  #pluckOnce(i: number, method: number): number {
    const { hand, work, draws, plucks, snrDb, offsetsKnown } = this.#setting
    const { timeS, residualCents, plucks: counts, last } = this.#standing
    const wanted = this.#wanted
    const at = this.#base + i
    draws.at(this.#episode, i, counts[at]++)
    wanted.snrDb = snrDb
    wanted.harderDb = work.unevenDb * draws.ratio
    wanted.residualCents = residualCents[at]
    wanted.last = last[at]
    plucks.draw(this.#episode, i, method, wanted, draws)
    last[at] = plucks.taken
    timeS[this.#episode] += hand.pluckS
    if (!(plucks.lockS <= work.timeOutS)) {
      timeS[this.#episode] += work.timeOutS
      return Number.NaN
    }
    timeS[this.#episode] += plucks.lockS + hand.reactionS
    return residualCents[at] + plucks.errorCents - (offsetsKnown ? plucks.offsetCents : 0)
  }

  /** Turns string i against what it is off; answers the time it took. Draws are those of its last pluck. */
  #turn(i: number, off: number): number {
    const { hand, draws, strings, coupling } = this.#setting
    const { residualCents } = this.#standing
    const n = this.#n
    const perDegree = strings[i].centsPerDegree * coupling.yielding[i]
    const rest = perDegree * hand.pegStepDeg * draws.rest
    const under = hand.undershootCents
    const moved =
      off <= 0
        ? -off * (1 + hand.turnGainSd * draws.gain) + rest
        : -(off + under) * (1 + hand.turnGainSd * draws.gain) + under * (1 + hand.turnGainSd * draws.backGain) + rest
    for (let j = 0; j < n; j++) residualCents[this.#base + j] += coupling.matrix[j * n + i] * moved
    const straight = hand.turnStartS + Math.abs(off) / (perDegree * hand.turnDegPerS)
    if (off <= 0) return straight
    const back = (2 * under) / (perDegree * hand.turnDegPerS) + (2 * hand.backlashDeg) / hand.turnDegPerS
    return straight + 0.6 * hand.turnStartS + back
  }
}
