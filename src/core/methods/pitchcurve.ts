/**
 * A frame-by-frame method whose judgement is a curve over pitches: the same curve that decides can be looked at afterwards.
 */
import type { Analyse } from './framewise.ts'

export interface PitchCurve {
  /** Pitches, rising or falling throughout, Hz. */
  readonly hz: Float64Array
  /** What each was worth in the frame last analysed; a high one is taken. Overwritten by the next frame. */
  readonly scores: Float64Array
  readonly analyse: Analyse
  /** Gives the pitches that could not win, and were passed over, their scores too. Absent: they stay 0. */
  lookAtAll?(): void
}
