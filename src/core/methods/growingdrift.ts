/**
 * Whether a followed pitch moves: the newer half of a span held against the whole.
 *
 * A small difference may be noise, so it counts by how much it exceeds that (James & Stein's shrinkage towards no drift, with the
 * usual glide as the prior's width); a difference that stands twice in a row on the same side cuts the span.
 */
export class PitchDrift {
  /** Cents per second that the pitch moves, as far as it is sure, and how sure that is. */
  centsPerS = 0
  spreadPerS = 0
  /** To which side the newer part disagreed the last time; 0: it did not. */
  #disagreed = 0

  forget(): void {
    this.centsPerS = 0
    this.#disagreed = 0
  }

  /**
   * `apartCents`: the newer part minus the whole; the spreads are theirs, the lengths too. `ageS`: since the string began.
   * True: the newer part is the string now, the span begins there.
   */
  compare(apartCents: number, newerSpread: number, wholeSpread: number, newerS: number, wholeS: number, ageS: number) {
    const disagrees = Math.abs(apartCents) > disagreement * newerSpread + leastApartCents
    const side = disagrees ? Math.sign(apartCents) : 0
    const cut = side !== 0 && side === this.#disagreed
    this.#disagreed = cut ? 0 : side
    // So much later is the middle of the newer part.
    const laterS = (wholeS - newerS) / 2
    const usual = (fastestGlide * Math.exp(-ageS / glideS) + slowestGlide) * laterS
    // The newer part holds a part of the whole's noise; what it has of its own is the difference of variances.
    const apart2 = Math.max(newerSpread ** 2 - wholeSpread ** 2, 0.25 * newerSpread ** 2)
    const calm = ageS < calmAfterS ? earlyCalm : lateCalm
    const beyond = Math.max(0, 1 - (calm * calm * apart2) / (apartCents * apartCents))
    const share = (beyond * usual * usual) / (usual * usual + apart2)
    this.centsPerS = (share * Math.max(-2.5 * usual, Math.min(2.5 * usual, apartCents))) / laterS
    this.spreadPerS = (share * Math.sqrt(apart2)) / laterS
    return cut
  }
}

/** Glides are over by now, and stillness is the rule. */
export const calmAfterS = 0.4
/** Deviations of the newer half. */
const disagreement = 3.5
const leastApartCents = 0.3
/** In deviations: less than this between the parts is no drift. */
const earlyCalm = 1.5
const lateCalm = 2.5
/** Strings plucked hard glide by 10 c in 0.15 s (common practice, no source): cents per second at first and for good. */
const fastestGlide = 50
const slowestGlide = 3
const glideS = 0.2
