/**
 * Scores one method's readings on one take against the truth: errors, first steady moment, claim.
 */
export interface ClaimSettings {
  /** Largest spread of the readings in a hold, cents. */
  readonly spanCents: number
  /** How long readings must stay together before a person may act, s. */
  readonly holdS: number
  /** A claim within this of the truth is true, cents. */
  readonly tolCents: number
}

/**
 * none: no lock inside the take. room: a false claim that the quiet twin does not make. structural: the twin's claim is
 * false too. premature: a hold completed before the onset (a false claim; its cause is the room).
 */
export type Claim = 'true' | 'room' | 'structural' | 'premature' | 'none'

/** What one method did in one trial. Cents; NaN where there is nothing to tell (null in JSON). */
export interface Score {
  /** Readings whose evidence lies wholly inside the first second after the onset: all figures below but the claim speak of them. */
  readonly readings: number
  readonly missing: number
  /** |error| >= 50 c, declined ones not counted. */
  readonly gross: number
  /** Gross errors within 50 c of a whole number of octaves (not zero) from the truth. */
  readonly octave: number
  /** Median reading on the quiet twin minus the truth. */
  readonly offsetCents: number
  /** Median of reading minus truth. */
  readonly medianCents: number
  /** Median of |reading minus truth|, over all readings that are not declined. */
  readonly medianAbsCents: number
  /** Median of reading minus truth minus offset, over fine readings. */
  readonly noiseErrorCents: number
  /** Root mean square of reading minus truth minus offset, over fine readings. */
  readonly noiseRmsCents: number
  /** Root mean square of the stiffness-known bound over the same readings' evidence. */
  readonly boundRmsCents: number
  /** First moment after the onset from which readings stay within 5 (1) c of the truth for the hold; hold not counted. NaN: never. */
  readonly within5S: number
  readonly within1S: number
  /** Seconds after the onset; negative for a premature claim; NaN: no lock. */
  readonly firstSteadyS: number
  readonly lockS: number
  readonly claim: Claim
  /** Claim minus truth; NaN without a claim. */
  readonly claimCents: number
}
