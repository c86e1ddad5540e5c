/**
 * What a degree of tuning peg does: it winds pi d_post / (360 ratio) of string, which strains the whole string from post to anchor:
 * dT = E A dL / L_total, df/f = dT/(2 T). Holds while the string slides over nut and saddle and the neck stands still; friction, slack
 * windings and a floating bridge all make the first degrees do less.
 */
import { axialStiffnessN, type StringMake } from './stringmake.ts'

/** Cents of a small relative change of tension: 1200/ln 2 of the pitch's, which is half the tension's. */
export const centsPerTensionRatio = 600 / Math.LN2

export interface Peg {
  /** Turns of the button for one of the post. */
  readonly ratio: number
  readonly postMm: number
  /** String beyond nut and saddle, up to post and anchor. */
  readonly beyondMm: number
}

/** Cents for one degree of the button. */
export function centsPerDegree(make: StringMake, tension: number, scaleMm: number, peg: Peg): number {
  const woundMm = (Math.PI * peg.postMm) / (360 * peg.ratio)
  return (centsPerTensionRatio * axialStiffnessN(make) * woundMm) / (tension * (scaleMm + peg.beyondMm))
}
