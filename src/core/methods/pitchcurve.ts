/**
 * A frame-by-frame method whose judgement is a curve over pitches: the same curve that decides can be looked at afterwards.
 */
import type { Analyse } from './framewise.ts'
import type { Weighing } from './method.ts'

/** Its scores are those of the frame last analysed, overwritten by the next. */
export interface PitchCurve extends Weighing {
  readonly analyse: Analyse
  /** Gives the pitches that could not win, and were passed over, their scores too. Absent: they stay 0. */
  lookAtAll?(): void
}
