/**
 * Outcomes of a run, gathered cell by cell (string, room, ratio, method), each figure with n and a 95 % interval.
 */

/** Wilson interval for rates, seeded bootstrap over trials for the rest. */
export interface Figure {
  readonly value: number
  readonly low: number
  readonly high: number
  readonly n: number
}

export interface Cell {
  readonly string: string
  readonly room: string
  readonly snrDb: number
  readonly method: string
  /** Trials scored. */
  readonly n: number
  /** Trials that failed with a problem; none of the figures count them. */
  readonly failed: number
  /** Share of readings that were declined; the figures below are null where nothing can be told. */
  readonly missing: Figure | null
  readonly grossRate: Figure | null
  readonly octaveRate: Figure | null
  readonly offsetCents: Figure | null
  readonly noiseErrorCents: Figure | null
  readonly medianAbsCents: Figure | null
  /** Noise deviation: root mean square over trials of reading minus truth minus offset, gross errors left out. */
  readonly sdCents: Figure | null
  /** The stiffness-known bound over the same evidence, root mean square; null where it has no meaning. */
  readonly boundSdCents: number | null
  /** sdCents over boundSdCents. */
  readonly boundRatio: Figure | null
  /** Why boundRatio is below 1 by more than its interval; null when it is not. */
  readonly boundNote: string | null
  /** Medians over all trials, a trial without a lock counting as later than any; null when under half locked. */
  readonly firstSteadyS: Figure | null
  readonly lockS: Figure | null
  readonly within5S: Figure | null
  readonly within1S: Figure | null
  /** Median over trials of the moment from which the bound allows a claim: no method without a prior is earlier on average. */
  readonly boundLockS: number | null
  readonly trueRate: Figure | null
  /** Room-caused and premature false claims together. */
  readonly falseRoomRate: Figure | null
  readonly falseStructuralRate: Figure | null
  readonly noLockRate: Figure | null
}
