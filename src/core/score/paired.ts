/**
 * Methods compared trial by trial: all of them hear identical samples, so the difference within a trial leaves out what made
 * the trial easy or hard.
 *
 * Difference: the other method minus the reference. Its median has a bootstrap interval over trials, drawn within strata
 * (string and ratio); whether it differs from 0 is asked by the paired sign-flip test on the mean (Fisher 1935, The Design of
 * Experiments, section 21), Holm's correction over all methods compared at once. Right or wrong claims differ by one or not
 * at all; the sign-flip test over all patterns is then the exact binomial one (McNemar 1947, Psychometrika 12:153-157).
 *
 * Nothing is dropped in silence. Error: 50 c and more is another note and counts as 50, so that one octave does not outweigh
 * fifty trials; a trial in which either method has no reading tells nothing and is counted apart. Lock: no claim, or a false
 * one, counts as the end of the take (restricted times, as in Royston & Parmar 2013, BMC Med. Res. Methodol. 13:152), so
 * that a difference to a trial without a true claim reads "at least".
 */
import { bootstrap, type Figure, holm, mean, median, signFlip } from '../maths/statistics.ts'
import type { Outcome } from '../study/study.ts'

export type PairedFigure = 'error' | 'lock'

/** Below this corrected p two methods are told apart. */
export const toldApartP = 0.05

/** What a comparison is made of. Outcomes of other methods than those named are passed over. */
export interface PairedInput {
  /** Any order; trials are matched by their index. */
  readonly outcomes: readonly Outcome[]
  readonly reference: string
  /** Method ids, the reference left out if it is among them. */
  readonly others: readonly string[]
  readonly figure: PairedFigure
  /** From the pluck to the end of the take, s: what a trial without a true claim counts as. */
  readonly heardS: number
  readonly seed: number
}

export interface PairedDifference {
  readonly method: string
  /** Median of other minus reference, cents or s; `n` counts the pairs. */
  readonly difference: Figure
  /** What the test asks about; a few trials far off move it and leave the median. NaN without a pair. */
  readonly mean: number
  /** Corrected for all methods compared at once; NaN without a pair. */
  readonly p: number
  /** Pairs in which the other is lower, the reference is, neither. */
  readonly lower: number
  readonly higher: number
  readonly equal: number
  /** Trials in which only this one, only the reference, or both had no reading (error) or no true claim (lock). */
  readonly withoutOther: number
  readonly withoutReference: number
  readonly withoutBoth: number
}

/** An error from here on is another note, as in the score. */
const grossCents = 50

/** In the order of `others`. Never throws for data. */
export function pairedDifferences(input: PairedInput): readonly PairedDifference[] {
  const { reference, figure, heardS, seed } = input
  const first = byTrial(input.outcomes, reference)
  const compared = input.others
    .filter((other) => other !== reference)
    .map((method) => {
      const own = byTrial(input.outcomes, method)
      const strata = new Map<string, number[]>()
      const count = { withoutOther: 0, withoutReference: 0, withoutBoth: 0 }
      for (const [index, theirs] of first) {
        const ours = own.get(index)
        if (ours === undefined) continue
        const { string, snrDb } = ours.trial
        const [a, b] = [figureOf(theirs, figure), figureOf(ours, figure)]
        if (Number.isNaN(a) || Number.isNaN(b)) {
          if (!Number.isNaN(a)) count.withoutOther++
          else if (!Number.isNaN(b)) count.withoutReference++
          else count.withoutBoth++
        }
        const counted = (value: number): number => (figure === 'lock' && Number.isNaN(value) ? heardS : value)
        const stratum = JSON.stringify([string, snrDb])
        const values = strata.get(stratum) ?? []
        strata.set(stratum, values)
        values.push(counted(b) - counted(a))
      }
      const groups = [...strata.values()]
      const differences = groups.flat().filter((value) => !Number.isNaN(value))
      // The same draws whichever of the two is the reference: the answer then only changes its sign.
      const drawSeed = hashOf(JSON.stringify([seed, figure, ...[reference, method].sort()]))
      return {
        method,
        difference: bootstrap(groups, median, drawSeed),
        mean: mean(differences),
        p: signFlip(differences, drawSeed),
        lower: differences.filter((value) => value < 0).length,
        higher: differences.filter((value) => value > 0).length,
        equal: differences.filter((value) => value === 0).length,
        ...count,
      }
    })
  const corrected = holm(compared.map(({ p }) => p))
  return compared.map((one, at) => ({ ...one, p: corrected[at] }))
}

/** NaN: no reading, or no true claim. */
function figureOf({ score }: Scored, figure: PairedFigure): number {
  // JSON holds null for NaN.
  const known = (value: number | null): number => (value === null ? Number.NaN : value)
  if (figure === 'lock') return score.claim === 'true' ? known(score.lockS) : Number.NaN
  return Math.min(grossCents, known(score.medianAbsCents))
}

type Scored = Extract<Outcome, { state: 'scored' }>

/** In the order of the trials, so that no figure depends on the order in which outcomes came. */
function byTrial(outcomes: readonly Outcome[], method: string): ReadonlyMap<number, Scored> {
  const own = outcomes.filter(
    (outcome): outcome is Scored => outcome.state === 'scored' && outcome.method.id === method,
  )
  return new Map(own.sort((a, b) => a.trial.index - b.trial.index).map((outcome) => [outcome.trial.index, outcome]))
}

/** One method's place among others that were tried in the same trials. */
export interface Place {
  readonly method: string
  /** Trials that went right, of `n` that both it and the first one were scored in. */
  readonly right: number
  readonly n: number
  /** Right here and wrong with the first one, and the other way round. */
  readonly onlyHere: number
  readonly onlyFirst: number
  /** Corrected over the methods placed together; NaN for the first one itself and without a trial. */
  readonly p: number
  /** It cannot be told from the first one: it shares the first place. True of the first one too. */
  readonly tied: boolean
}

/**
 * The methods with the most right trials first, equals in the order given. `right` tells whether an outcome went right; for
 * most rooms: its claim is true.
 */
export function placesOf(
  outcomes: readonly Outcome[],
  methods: readonly string[],
  right: (outcome: Scored) => boolean,
): readonly Place[] {
  const listed = methods.map((method) => ({ method, trials: byTrial(outcomes, method) }))
  const shareOf = (trials: ReadonlyMap<number, Scored>): number =>
    trials.size === 0 ? -1 : [...trials.values()].filter(right).length / trials.size
  const sorted = listed.map((one) => ({ ...one, share: shareOf(one.trials) })).sort((a, b) => b.share - a.share)
  const first = sorted[0]
  if (first === undefined) return []
  const raw = sorted.map(({ method, trials }) => {
    const counts = { right: 0, n: 0, onlyHere: 0, onlyFirst: 0 }
    for (const [index, outcome] of trials) {
      const beside = first.trials.get(index)
      if (beside === undefined) continue
      const [here, there] = [right(outcome), right(beside)]
      counts.n++
      if (here) counts.right++
      if (here && !there) counts.onlyHere++
      if (there && !here) counts.onlyFirst++
    }
    const own = method === first.method || counts.n === 0
    return { method, ...counts, p: own ? Number.NaN : exactP(counts.onlyHere, counts.onlyFirst) }
  })
  const corrected = holm(raw.map(({ p }) => p))
  return raw.map((one, at) => ({ ...one, p: corrected[at], tied: one.n > 0 && !(corrected[at] < toldApartP) }))
}

/** Two-sided p of `a` against `b` where both are as likely: all 2^(a + b) patterns of sign, counted by binomial weights. */
export function exactP(a: number, b: number): number {
  const n = a + b
  let weight = 2 ** -n
  // Beyond a thousand the smallest weight is 0 in float64: start from its logarithm instead.
  let log = -n * Math.LN2
  let sum = 0
  for (let k = 0; k <= Math.min(a, b); k++) {
    sum += n < 1000 ? weight : Math.exp(log)
    weight *= (n - k) / (k + 1)
    log += Math.log((n - k) / (k + 1))
  }
  return Math.min(1, 2 * sum)
}

/** FNV-1a over UTF-16 units (Fowler, Noll, Vo): 32 bits, the same in every engine. */
function hashOf(text: string): number {
  let hash = 0x811c9dc5
  for (let i = 0; i < text.length; i++) hash = Math.imul(hash ^ text.charCodeAt(i), 0x01000193)
  return hash >>> 0
}
