/**
 * The figures the bench draws: cells per string, and the same pooled over strings. Messages of the thread that computes
 * them, for a thousand bootstrap rounds a figure would stop the page.
 */
import type { PairedDifference, PairedFigure, Place } from '../../core/score/paired.ts'
import type { Score } from '../../core/score/score.ts'
import type { Cell, Summary } from '../../core/score/summary.ts'
import type { Header } from '../../core/study/record.ts'
import type { Outcome, Variant } from '../../core/study/study.ts'

/** What the string filter says for all strings pooled. */
export const allStrings = 'all strings'

export interface BenchSummary {
  readonly summary: Summary<Header>
  /** The same outcomes with the strings pooled, `string` being `allStrings`; empty with one string. */
  readonly pooled: readonly Cell[]
  /** A room and string (or all strings) each, over all ratios; aimed and blind methods are never placed together. */
  readonly rankings: readonly Ranking[]
}

export type Family = 'aimed' | 'blind'

export interface Ranking {
  readonly string: string
  readonly room: string
  readonly family: Family
  readonly places: readonly Place[]
}

/** A comparison somebody looks at: one room and string (or all strings), at one ratio or, null, over all. */
export interface PairQuestion {
  readonly string: string
  readonly room: string
  readonly snrDb: number | null
  readonly reference: string
  readonly figure: PairedFigure
}

/** Whether a claim is as it should be: true, or none where no true one can be (nothing plucked, or another string). */
export const isRight = (claim: Score['claim'], variant: Variant, family: Family): boolean =>
  claim === (variant === 'no-string' || (variant === 'wrong-string' && family === 'aimed') ? 'none' : 'true')

export type ToTally =
  | { readonly kind: 'begin'; readonly header: Header }
  | { readonly kind: 'add'; readonly outcomes: readonly Outcome[] }
  | { readonly kind: 'sum'; readonly ticket: number }
  | { readonly kind: 'pair'; readonly ticket: number; readonly question: PairQuestion }

export type FromTally =
  | { readonly kind: 'summed'; readonly ticket: number; readonly results: BenchSummary }
  | { readonly kind: 'paired'; readonly ticket: number; readonly differences: readonly PairedDifference[] }
