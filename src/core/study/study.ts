/**
 * A study: every string in every room at every ratio, heard by every method, `repeats` times.
 *
 * Trials are numbered string, room, ratio, repeat (repeat fastest); outcomes stand in trial order, methods in the study's
 * order. Every random stream is seeded by (study seed, cell, repeat, stream name), so any trial can be replayed alone.
 */
import type { DisplaySettings } from '../methods/displayed.ts'
import type { BodyChoice } from '../scene/body.ts'
import type { Kind } from '../scene/kinds.ts'
import type { NeighbourString } from '../scene/neighbours.ts'
import type { PartialLists, RoomPart } from '../scene/scene.ts'
import type { SensorChoice } from '../scene/sensors/sensor.ts'
import type { ClaimSettings, Score } from '../score/score.ts'
import type { Levels } from './levels.ts'

export interface StudyString {
  readonly id: string
  /** Nominal pitch: what an aimed method is told. */
  readonly targetHz: number
  /** Pluck settings besides onset and pitch; the pitch is the target moved by a seeded detune. */
  readonly pluck: Readonly<Record<string, number>>
  /** Partials one by one, in place of what the settings would make of them. */
  readonly partials?: PartialLists
  /** This string's ratio over the study's, dB; absent: 0. */
  readonly overStudyDb?: number
  /** Id of a recorded string to sound instead of a synthetic one. */
  readonly recording?: string
  /** Whose usual values stand where `pluck` says nothing; absent: none, the string is ideal there. */
  readonly kind?: Kind
  /** The other strings of its instrument, written out; absent: those that signals/ knows. */
  readonly neighbours?: readonly NeighbourString[]
}

/** What sounds instead of the string in hand. */
export type Variant = 'string' | 'no-string' | 'wrong-string'

export interface StudyRoom {
  readonly id: string
  readonly parts: readonly RoomPart[]
  readonly variant: Variant
  /** Through what both sides are heard; absent: as they are. */
  readonly sensor?: SensorChoice
  /** What the strings end on; absent: rigid. */
  readonly body?: BodyChoice['id']
  /** The instrument's other strings ring along with the plucked one: level re it; absent: they do not. */
  readonly sympatheticDb?: number
  /** They ring with the noise: level re the noise in air and wood, before any sensor; absent: they do not. */
  readonly drivenDb?: number
  /** Levels of the parts are re the string in its first second: a trial's ratio changes nothing. */
  readonly absolute?: boolean
}

export interface MethodChoice {
  readonly id: string
  /** Settings that differ from the method's defaults. */
  readonly values: Readonly<Record<string, number>>
  /** Behind which display it is heard; absent: none, its readings are seen as they come. */
  readonly display?: DisplaySettings
  /** A chain: stages that hear the pluck before it, the first one first (chained.ts). Absent: it hears alone. */
  readonly after?: readonly EarlierStage[]
}

/** A method of a chain that hands over once its claim lies near the note. */
export interface EarlierStage extends Omit<MethodChoice, 'after'> {
  readonly letGoCents: number
}

export interface Study {
  readonly id: string
  readonly seed: number
  readonly sampleRateHz: number
  /** Length of a take, lead included, s. */
  readonly takeS: number
  /** Time before the onset, s. */
  readonly leadS: number
  /** Each repeat is plucked up to this far from the target, either way, cents. */
  readonly detuneCents: number
  /**
   * Every second repeat (of several plucks a string, its last two) is plucked up to this far off instead: a string as it is found. Absent: all
   * repeats alike.
   */
  readonly farDetuneCents?: number
  /**
   * How much harder or softer than usual repeats are plucked, standard deviation, dB: their glides go with the square of the
   * amplitude, and their ratios with them; the trial's is that of a pluck of usual force. Absent: all as hard.
   */
  readonly unevenDb?: number
  /**
   * So many repeats, three or more, are plucks of one string, five strings taken by turns: anew each time and at every ratio, as far off its
   * note, as hard and with such a knock as chance has it; only what its partials do stays. Quiet twins are then heard at the lowest ratio only. Absent: every
   * repeat is a string of its own, and all ratios hear one and the same pluck of it.
   */
  readonly plucksAString?: number
  /** So many stretches of a room are learnt, strings take them by turns: what an evening learns of its room is luck too. Absent: one. */
  readonly learntStretches?: number
  readonly strings: readonly StudyString[]
  readonly rooms: readonly StudyRoom[]
  /** String over noise: of every string, or on a fixed stage of the reference string. */
  readonly snrsDb: readonly number[]
  /** `stage`: all strings are plucked as hard in the noise that is set for the reference string. Absent: `ratio`. */
  readonly level?: 'ratio' | 'stage'
  /** For a fixed stage; absent: the third lowest. */
  readonly referenceString?: string
  readonly repeats: number
  readonly methods: readonly MethodChoice[]
  readonly claim: ClaimSettings
  /** Methods listen until they claim: all but the claim is told of what they heard by then, without a bound. Absent: to the end. */
  readonly untilClaim?: true
  /** Whether methods are given the room's spectrum. */
  readonly roomLearnt: boolean
  /** What blind methods are told, Hz. */
  readonly lowestHz: number
  readonly highestHz: number
}

export interface Trial {
  readonly index: number
  readonly string: string
  readonly room: string
  readonly snrDb: number
  readonly repeat: number
}

export type Outcome =
  | {
      readonly state: 'scored'
      readonly trial: Trial
      readonly method: MethodChoice
      readonly score: Score
      /** null: a run that was made before they were measured. */
      readonly levels: Levels | null
    }
  | {
      readonly state: 'failed'
      readonly trial: Trial
      readonly method: MethodChoice
      readonly problem: { readonly what: string; readonly where: string }
    }
