/**
 * The figures the bench draws: cells per string, and the same pooled over strings. Messages of the thread that computes
 * them, for a thousand bootstrap rounds a figure would stop the page.
 */
import type { Cell, Summary } from '../../core/score/summary.ts'
import type { Header } from '../../core/study/record.ts'
import type { Outcome } from '../../core/study/study.ts'

/** What the string filter says for all strings pooled. */
export const allStrings = 'all strings'

export interface BenchSummary {
  readonly summary: Summary<Header>
  /** The same outcomes with the strings pooled, `string` being `allStrings`; empty with one string. */
  readonly pooled: readonly Cell[]
}

export type ToTally =
  | { readonly kind: 'begin'; readonly header: Header }
  | { readonly kind: 'add'; readonly outcomes: readonly Outcome[] }
  | { readonly kind: 'sum'; readonly ticket: number }

export type FromTally = { readonly kind: 'summed'; readonly ticket: number; readonly results: BenchSummary }
