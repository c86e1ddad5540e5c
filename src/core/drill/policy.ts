/**
 * A way of working played through an exercise: what the best hand would do, as a log like any person's.
 *
 * The operator is the plan's (plan/episodes.ts) with his times and without his slips: every turn ends where it was meant to, with the
 * play of the peg taken up, and every string comes to its note from flat. One string after the other is plucked, waited for,
 * turned; then up to `morePasses` passes of the last stage until one needs no turn; then, where the exercise asks for it, the
 * check. What a pluck is claimed to be comes from a Detector: figures in a test, methods that really listen on the page.
 */
import { defaultHand, failedPlucks, type Hand, neverTurnCents } from '../plan/hand.ts'
import type { DrillStage, Exercise } from './exercise.ts'
import { type Action, finishS, type Log } from './log.ts'
import { Session } from './session.ts'

/** What a method says of a pluck. */
export interface Detector {
  /** `pluck`: of this string, counted from 0. `lockS` after it (NaN: never) it claims that the string is `cents` off its note. */
  hear(pluck: {
    readonly string: number
    readonly method: number
    readonly residualCents: number
    readonly pluck: number
  }): { readonly lockS: number; readonly cents: number }
}

/** Times of the plan's hand, which are assumptions, without its slips. */
export const steadyHand: Hand = { ...defaultHand, turnGainSd: 0, pegStepDeg: 0 }

/** A pluck without a settled reading is given up after this: the plan's own wait. */
export const waitS = 1.5
/** More turns than an exact hand needs for one string. */
const mostTurns = 12

/** The usual ways for the methods of an exercise: the fine one alone, or the rough one first, confirmed or turned once. */
export function usualWays({ methods }: Exercise): readonly (readonly DrillStage[])[] {
  const last = methods.length - 1
  const fine: DrillStage = { method: last, letGoCents: methods[last].letGoCents, handOver: 'confirm' }
  if (last === 0) return [[fine]]
  const { letGoCents } = methods[0]
  return [
    [fine],
    [{ method: 0, letGoCents, handOver: 'confirm' }, fine],
    [{ method: 0, letGoCents, handOver: 'turn-once' }, fine],
  ]
}

export interface Reference {
  readonly stages: readonly DrillStage[]
  readonly log: Log
  readonly timeS: number
  readonly worstCents: number
  /** Strings that nobody may rely on. */
  readonly undone: number
}

/** A way with more stages has to be sooner by this share: less is not worth another method in the hand (own choice). */
const leastGain = 0.05

/**
 * The exercise's own way, or the one of the usual ways that is best on this very seed: fewest left undone, then soonest, the
 * simpler one where it hardly matters.
 */
export function bestWay(exercise: Exercise, seed: number, detector: Detector): Reference {
  const ways = exercise.stages === null ? usualWays(exercise) : [exercise.stages]
  const played = ways.map((stages) => playWay(exercise, seed, stages, detector))
  return played.reduce((best, other) =>
    other.undone < best.undone || (other.undone === best.undone && isSooner(other, best)) ? other : best,
  )
}

const isSooner = (other: Reference, best: Reference): boolean =>
  other.timeS < best.timeS * (other.stages.length > best.stages.length ? 1 - leastGain : 1)

export function playWay(
  exercise: Exercise,
  seed: number,
  stages: readonly DrillStage[],
  detector: Detector,
): Reference {
  const player = new Player(exercise, seed, detector)
  const last = stages[stages.length - 1]
  for (const set of exercise.sets.keys()) {
    if (set > 0) player.act({ kind: 'change', atS: player.timeS })
    for (const stage of stages) player.pass(set, stage)
    for (let more = 0; more < exercise.morePasses; more++) if (player.pass(set, last)) break
    if (exercise.check) player.pass(set, last)
  }
  player.act({ kind: 'finish', atS: player.timeS })
  const { session, log } = player
  const undone = session.strings.filter((_, at) => !session.done(at)).length
  return { stages, log, timeS: finishS(log), worstCents: session.worstCents(), undone }
}

class Player {
  readonly session: Session
  readonly log: Action[] = []
  timeS = 0
  readonly #detector: Detector
  readonly #hand = steadyHand
  #method = 0

  constructor(exercise: Exercise, seed: number, detector: Detector) {
    this.session = new Session(exercise, seed)
    this.#detector = detector
  }

  act(action: Action): void {
    this.session.apply(action)
    this.log.push(action)
  }

  /** True: every string was let go after its first pluck. */
  pass(set: number, stage: DrillStage): boolean {
    if (stage.method !== this.#method) {
      this.#method = stage.method
      this.act({ kind: 'method', atS: this.timeS, method: stage.method })
    }
    let clean = true
    for (const [string, { set: own }] of this.session.strings.entries()) {
      if (own === set && !this.#visit(string, stage)) clean = false
    }
    return clean
  }

  /** True: let go after its first pluck. */
  #visit(string: number, stage: DrillStage): boolean {
    for (let turns = 0; turns <= mostTurns; turns++) {
      const claim = this.#pluckUntilRead(string, stage.method)
      if (Number.isNaN(claim)) break
      if (Math.abs(claim) <= stage.letGoCents) {
        this.act({ kind: 'let-go', atS: this.timeS, string })
        return turns === 0
      }
      this.#turn(string, claim)
      if (stage.handOver === 'turn-once') break
    }
    return false
  }

  #pluckUntilRead(string: number, method: number): number {
    for (let failed = 0; failed < failedPlucks; failed++) {
      const claim = this.#pluckOnce(string, method)
      if (Math.abs(claim) <= neverTurnCents) return claim
    }
    return Number.NaN
  }

  #pluckOnce(string: number, method: number): number {
    const { pluckS, reactionS } = this.#hand
    this.timeS += pluckS
    const pluck = this.session.standings[string].plucks
    this.act({ kind: 'pluck', atS: this.timeS, string })
    const residualCents = this.session.residualCents(string)
    const { lockS, cents } = this.#detector.hear({ string, method, residualCents, pluck })
    if (!(lockS <= waitS)) {
      this.timeS += waitS
      return Number.NaN
    }
    this.timeS += lockS
    this.act({ kind: 'claim', atS: this.timeS, string, method, cents })
    this.timeS += reactionS
    return cents
  }

  /** From sharp it goes under the note and comes up again. Times as in plan/episodes.ts. */
  #turn(string: number, claim: number): void {
    const { turnStartS, turnDegPerS: degreesPerS, undershootCents } = this.#hand
    const { backlashDeg } = this.session.exercise
    const perDegree = this.session.centsPerDegree(string)
    if (claim <= 0) {
      this.timeS += turnStartS + Math.abs(claim) / (perDegree * degreesPerS)
      this.#wind(string, -claim)
      return
    }
    this.timeS += turnStartS + (claim + undershootCents) / (perDegree * degreesPerS) + backlashDeg / degreesPerS
    this.#wind(string, -(claim + undershootCents))
    this.timeS += 0.6 * turnStartS + (undershootCents / perDegree + backlashDeg) / degreesPerS
    this.#wind(string, undershootCents)
  }

  #wind(string: number, cents: number): void {
    this.act({ kind: 'turn', atS: this.timeS, string, degrees: this.session.degreesFor(string, cents) })
  }
}
