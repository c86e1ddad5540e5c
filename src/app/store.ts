/**
 * Choices and finished results, and nothing else: no audio, no readings, no clock that ticks. Whoever draws reads from
 * here; run/session.ts is the only one that writes results.
 */
import { create } from 'zustand'
import type { Pace } from '../core/study/pace.ts'
import { presetStudy } from '../core/study/presets.ts'
import type { Study } from '../core/study/study.ts'
import { namesOf } from './run/names.ts'
import { allStrings, type BenchSummary } from './run/tally.ts'

export { allStrings }

/**
 * opening: kept outcomes are being read. idle: some or no trials are there and nothing computes. running: workers
 * compute. done: every trial is there.
 */
export type Phase = 'opening' | 'idle' | 'running' | 'done'

export interface Point {
  readonly string: string
  readonly room: string
  readonly snrDb: number
  readonly method: string
}

export interface Shown {
  /** A string's id, or `allStrings`. */
  readonly string: string
  /** Where there is room for one column only: which. */
  readonly column: number
  readonly as: 'charts' | 'table'
  /** Methods drawn in colour, the one that came last at the end; null: the first five of the study. */
  readonly picked: readonly string[] | null
  /** Methods whose intervals are drawn as bands, newest last, at most two; empty: the two that hold lowest. */
  readonly banded: readonly string[]
  readonly point: Point | null
}

export interface BenchState {
  readonly study: Study
  readonly phase: Phase
  readonly trialsDone: number
  readonly trialsTotal: number
  /** NaN until a first guess can be made. */
  readonly etaS: number
  readonly results: BenchSummary | null
  /** Computing times of this session, in the study's method order; empty until something was computed. */
  readonly paces: readonly Pace[]
  /** Sentence about the whole study: it could not be opened, a file is missing, workers died. */
  readonly problem: string | null
  /** Sentence about the link that was opened, until another study is chosen. */
  readonly notice: string | null
  /** When outcomes were last kept by the browser; null: not yet. */
  readonly savedAt: number | null
  readonly storageRefused: boolean
  readonly shown: Shown
  show(change: Partial<Shown>): void
  select(point: Point | null): void
  pick(method: string): void
}

/** More than five lines in colour cannot be told apart at a glance; more than two bands hide each other. */
export const mostPicked = 5
const mostBanded = 2

const nothingShown: Shown = { string: allStrings, column: 0, as: 'charts', picked: null, banded: [], point: null }

export const useBench = create<BenchState>((set) => ({
  study: presetStudy('first'),
  phase: 'opening',
  trialsDone: 0,
  trialsTotal: 0,
  etaS: Number.NaN,
  results: null,
  paces: [],
  problem: null,
  notice: null,
  savedAt: null,
  storageRefused: false,
  shown: nothingShown,
  show: (change) => set((state) => ({ shown: { ...state.shown, ...change } })),
  select: (point) =>
    set(({ shown, study }) => {
      if (point === null) return { shown: { ...shown, point } }
      const picked = pickedMethods(shown, study)
      const banded = [...shown.banded.filter((id) => id !== point.method), point.method].slice(-mostBanded)
      const room = picked.includes(point.method) ? picked : [...picked, point.method].slice(-mostPicked)
      return { shown: { ...shown, point, banded, picked: shown.picked === null && room === picked ? null : room } }
    }),
  pick: (method) =>
    set(({ shown, study }) => {
      const picked = pickedMethods(shown, study)
      const without = picked.filter((id) => id !== method)
      const next = without.length < picked.length ? without : [...picked, method].slice(-mostPicked)
      return { shown: { ...shown, picked: next, banded: shown.banded.filter((id) => next.includes(id)) } }
    }),
}))

export function pickedMethods(shown: Shown, study: Study): readonly string[] {
  const known = namesOf(study)
  return (shown.picked ?? known.slice(0, mostPicked)).filter((id) => known.includes(id))
}

/** What stays shown when the study changes: choices that still mean something in it. */
export function shownIn(study: Study, shown: Shown): Shown {
  const has = (id: string): boolean => study.strings.some((string) => string.id === id)
  return {
    ...nothingShown,
    as: shown.as,
    string: study.strings.length === 1 ? (study.strings[0]?.id ?? '') : has(shown.string) ? shown.string : allStrings,
    column: Math.min(shown.column, study.rooms.length - 1),
  }
}
