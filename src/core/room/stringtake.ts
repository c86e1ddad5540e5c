/**
 * Figures of one pluck in the room: when it began, its pitch, stiffness and decay, how it stands over the room, partial by
 * partial, and which other strings sound.
 */

import type { Figure } from '../maths/statistics.ts'
import { levelMomentsS } from '../study/levels.ts'
import { checkRate, type NoiseFigures } from './noisetake.ts'
import type { RoomString } from './roomstring.ts'

/** How a partial stands to what its neighbours lead one to expect; `unheard`: it would be under the room anyway. */
export type PartialStanding = 'as-expected' | 'weak' | 'missing' | 'unheard'

export interface StringPartial {
  readonly k: number
  /** null: it does not stand out. */
  readonly frequencyHz: number | null
  /** Off the law fitted to all; null: it does not stand out. */
  readonly deviationCents: number | null
  /** Within 50 c over the first second, string over noise; null: not told from the room. */
  readonly ratioDb: number | null
  /** At the onset re the strongest; null: it does not stand out. */
  readonly levelDb: number | null
  /** T60; null: too short above the room to be measured. */
  readonly decayS: number | null
  readonly standing: PartialStanding
  /** Under the median of its neighbours, positive; null: it or they cannot be measured. */
  readonly underNeighboursDb: number | null
}

export interface RingingString {
  /** Id of the other string. */
  readonly string: string
  readonly when: 'before' | 'while'
  /** Of the partials that are its own alone, over those of the plucked string. */
  readonly overStringDb: number
  /** Off its target. */
  readonly cents: number
}

/** Whole-string figures that may be missing, each with its reason. */
export type StringFigureKey =
  | 'onsetS'
  | 'f1Hz'
  | 'stiffness'
  | 'scatterCents'
  | 'decayS'
  | 'ratioDb'
  | 'ratioAtDb'
  | 'ringing'

/** null: not measurable; `missing` says why in a sentence for a person. */
export interface StringFigures {
  readonly string: string
  /** From the start of the samples. */
  readonly onsetS: number | null
  readonly f1Hz: number | null
  /** f1 off the target. */
  readonly offCents: number | null
  readonly stiffness: number | null
  /** Partials from 2 up off the law, RMS. */
  readonly scatterCents: number | null
  /** T60 of partial 1. */
  readonly decayS: number | null
  /** String over noise, over the first second; the noise take's power is taken out of the take's. */
  readonly ratioDb: number | null
  /** At each of `levelMomentsS` after the onset, over 100 ms. */
  readonly ratioAtDb: readonly (number | null)[]
  /** 1 to `toldPartials`; empty: no string. */
  readonly partials: readonly StringPartial[]
  readonly ringing: readonly RingingString[]
  readonly missing: Readonly<Partial<Record<StringFigureKey, string>>>
}

/** `samples`: from before the onset, a third of a second or more, to 1 s after it or later; 3 s are wanted. */
export function stringFigures(
  samples: Float32Array,
  sampleRateHz: number,
  string: RoomString,
  noise: NoiseFigures,
): StringFigures {
  checkRate(sampleRateHz)
  const why = samples.length === 0 || noise.durationS === 0 ? 'There is no sound.' : 'Nothing was measured yet.'
  return {
    ...{ string: string.id, onsetS: null, f1Hz: null, offCents: null, stiffness: null, scatterCents: null },
    ...{ decayS: null, ratioDb: null, ratioAtDb: levelMomentsS.map(() => null), partials: [], ringing: [] },
    missing: { onsetS: why },
  }
}

/** Means over plucks of one string with 95 % bootstrap intervals; NaN bounds where there was one pluck only. */
export interface StringSummary {
  readonly string: string
  readonly plucks: number
  readonly f1Hz: Figure
  readonly offCents: Figure
  readonly stiffness: Figure
  readonly scatterCents: Figure
  readonly decayS: Figure
  readonly ratioDb: Figure
  readonly ratioAtDb: readonly Figure[]
  readonly partialRatioDb: readonly Figure[]
}
