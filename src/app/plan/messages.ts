/** What the page and the planner's worker tell each other. */
import type { Instrument } from '../../core/instruments/instrument.ts'
import type { PlanRecords } from '../../core/plan/records.ts'
import type { StudyRoom } from '../../core/study/study.ts'
import type { PlanAnswer, PlanAsk } from './answer.ts'
import type { Heard } from './whatif.ts'

export type ToPlanner =
  | { readonly kind: 'plan'; readonly ticket: number; readonly ask: PlanAsk }
  /** A file is long: it is read over here. `room` '': its first. */
  | {
      readonly kind: 'read'
      readonly ticket: number
      readonly text: string
      readonly instrument: Instrument
      readonly room: string
    }

export interface ReadRun {
  readonly records: PlanRecords
  readonly heard: Heard
  readonly rooms: readonly StudyRoom[]
  /** The one the records are from. */
  readonly room: StudyRoom
  readonly trials: number
}

export type FromPlanner =
  /** `whole` false: the same answer comes again with what is still being worked out. */
  | { readonly kind: 'planned'; readonly ticket: number; readonly answer: PlanAnswer | null; readonly whole: boolean }
  | { readonly kind: 'read'; readonly ticket: number; readonly run: ReadRun }
  | { readonly kind: 'failed'; readonly ticket: number; readonly what: string; readonly where: string }
