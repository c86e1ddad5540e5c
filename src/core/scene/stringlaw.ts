/**
 * A stiff string by itself: where its partials lie, how fast they die, and what a fret makes of both.
 *
 * f_k = k f0 sqrt(1 + B k^2) (Fletcher 1964, JASA 36:203-209). B ~ 1 / L^2 at the same tension and wire: twice as much six
 * frets up. Decay times follow T60(k) = decayS k^-s, so that the geometric mean over partials 4 to 7 is highDecayRatio decayS.
 * At a fret the same losses a period are assumed: decay times halve every twelve frets (a finger costs more).
 */
import { ln, pow } from '../maths/portable.ts'

/** (4 * 5 * 6 * 7)^(1/4), the geometric mean of the partials that highDecayRatio speaks of. */
const highPartial = Math.sqrt(Math.sqrt(840))
/** ln 1000: amplitude falls to a thousandth within T60. */
export const decaysOf60Db = ln(1000)

/** What of a pluck the law needs. */
export interface StringLaw {
  readonly firstPartialHz: number
  /** As it sounds: at its fret. */
  readonly stiffness: number
  readonly decayS: number
  readonly highDecayRatio: number
}

export function stringLaw(string: StringLaw & { readonly fret: number }): StringLaw {
  const { firstPartialHz, stiffness, decayS, highDecayRatio, fret } = string
  if (fret === 0) return string
  return {
    firstPartialHz,
    stiffness: stiffness * pow(2, fret / 6),
    decayS: decayS * pow(2, -fret / 12),
    highDecayRatio,
  }
}

/** Frequency of partial `k` of the settled string, Hz. */
export function partialHz(k: number, { firstPartialHz, stiffness }: StringLaw): number {
  // k = 1 gives exactly f1.
  return k * firstPartialHz * Math.sqrt((1 + stiffness * k * k) / (1 + stiffness))
}

/** f0 of the law: as often does a wave run to and fro in a second. */
export const flexibleHz = ({ firstPartialHz, stiffness }: StringLaw): number =>
  firstPartialHz / Math.sqrt(1 + stiffness)

/** Amplitude of partial k falls as exp(-rate t). */
export function decayRates({ decayS, highDecayRatio }: StringLaw): (k: number) => number {
  const fallPerOctave = -ln(highDecayRatio) / ln(highPartial)
  return (k) => (decaysOf60Db / decayS) * pow(k, fallPerOctave)
}
