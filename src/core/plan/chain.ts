/**
 * A way of working: stages one after the other, each one method over all strings, then one check pluck a string.
 */

export interface Stage {
  /** Place in the records' list of methods. */
  readonly method: number
  /** Inside this the string is let go, cents. */
  readonly letGoCents: number
  /**
   * confirm: pluck and turn until a reading lies inside the let-go. turn-once: at most one turn, then the next string.
   */
  readonly handOver: 'confirm' | 'turn-once'
  /** First pluck all strings, then turn each so far past its note that the later ones bring it home: for floating bridges. */
  readonly ahead?: boolean
}

export interface Chain {
  readonly stages: readonly Stage[]
  /** Further passes of the last stage, and the check pluck. false: no time for either; nothing is verified. */
  readonly verified: boolean
}

export const methodsOf = ({ stages }: Chain): readonly number[] => [...new Set(stages.map(({ method }) => method))]
