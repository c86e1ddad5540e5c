/**
 * A string of the instrument on the stand, as the Room page's figures need it: where it should sound and how stiff it is
 * taken to be.
 */
import { centsBetween } from '../maths/units.ts'
import { partialHz } from '../methods/stringlaw.ts'

export interface RoomString {
  readonly id: string
  readonly title: string
  /** First partial of the string in tune, Hz. */
  readonly targetHz: number
  /** B of f_k = k f0 sqrt(1 + B k^2); 0 where nobody knows. */
  readonly stiffness: number
}

/** Partials that figures are told of; a low string's fundamental and the next nine, as in a trial's ratios. */
export const toldPartials = 10

export const stringPartialHz = ({ targetHz, stiffness }: RoomString, k: number): number =>
  partialHz({ f1Hz: targetHz, stiffness }, k)

export interface NearPartial {
  /** Id of the string. */
  readonly string: string
  readonly k: number
  /** Above the partial: positive. */
  readonly cents: number
}

/** The partial, of any string, that lies nearest in cents; null without strings. */
export function nearestPartial(hz: number, strings: readonly RoomString[]): NearPartial | null {
  let best: NearPartial | null = null
  for (const string of strings) {
    for (let k = 1; k <= toldPartials; k++) {
      const cents = centsBetween(hz, stringPartialHz(string, k))
      if (Math.abs(cents) < Math.abs(best?.cents ?? Number.POSITIVE_INFINITY)) best = { string: string.id, k, cents }
    }
  }
  return best
}
