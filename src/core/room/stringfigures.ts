/**
 * What is told of one pluck in a room: plain data. null: not measurable; `missing` says why in a sentence for a person.
 */
import type { PartialStanding } from './partialstanding.ts'
import type { RingingString } from './ringing.ts'
import type { ToldGlide } from './toldglide.ts'

export interface StringPartial {
  readonly k: number
  /** Where the law has it: the middle of the band that `ratioDb` speaks of. */
  readonly lawHz: number
  /** null: it does not stand out. */
  readonly frequencyHz: number | null
  /** Off the law fitted to all; null: it does not stand out. */
  readonly deviationCents: number | null
  /** Within 50 c over the first second, string over noise; null: not told from the room. */
  readonly ratioDb: number | null
  /** The same power re the strongest partial; null: not told from the room. */
  readonly levelDb: number | null
  /** T60; null: too short above the room to be measured. */
  readonly decayS: number | null
  readonly standing: PartialStanding
  /** Under the median of its neighbours, positive; null: it or they cannot be measured. */
  readonly underNeighboursDb: number | null
}

/** Figures that may be missing, each with its reason. */
export type StringFigureKey =
  | 'onsetS'
  | 'f1Hz'
  | 'stiffness'
  | 'scatterCents'
  | 'decayS'
  | 'ratioDb'
  | 'ratioAtDb'
  | 'ringing'

export interface StringFigures {
  readonly string: string
  /** From the start of the samples. */
  readonly onsetS: number | null
  /** From the onset, or from the start where there is none, to the end of the samples. */
  readonly heardS: number
  /** First partial of the law that fits the first six partials best: what a technician tunes. */
  readonly f1Hz: number | null
  /** f1 off the target. */
  readonly offCents: number | null
  /** Standard deviation of f1, from how far the partials scatter; null where stiffness is. */
  readonly f1SpreadCents: number | null
  readonly stiffness: number | null
  /** Standard deviation, as above. */
  readonly stiffnessSpread: number | null
  /** Partials from 2 up off the law, RMS. */
  readonly scatterCents: number | null
  /** T60 of partial 1. */
  readonly decayS: number | null
  /** How far this pluck glided; null: its readings after the onset are too few to tell. */
  readonly glide: ToldGlide | null
  /** String over noise, over the first second; the noise take's power is taken out of the take's. */
  readonly ratioDb: number | null
  /** At each of `levelMomentsS` after the onset, over 100 ms. */
  readonly ratioAtDb: readonly (number | null)[]
  /** 1 to `toldPartials`; empty: no string. */
  readonly partials: readonly StringPartial[]
  readonly ringing: readonly RingingString[]
  readonly missing: Readonly<Partial<Record<StringFigureKey, string>>>
}

/** Reasons as they are found. */
export type Missing = Partial<Record<StringFigureKey, string>>
