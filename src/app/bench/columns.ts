/**
 * What stands side by side: rooms for one string (or for all strings pooled); with one room only, the strings. Every
 * picture and the table read their cells from here, so they show the same figures in the same order.
 */
import type { Cell, Figure } from '../../core/score/summary.ts'
import { instrumentOf, noteOf } from '../../core/study/instrumentstrings.ts'
import type { Study } from '../../core/study/study.ts'
import type { BenchSummary } from '../run/tally.ts'
import { allStrings, type Point } from '../store.ts'

export interface Column {
  readonly string: string
  readonly room: string
  readonly title: string
}

/** With one room its strings are the columns, and there is nothing to filter. */
export const stringsAreColumns = (study: Study): boolean => study.rooms.length === 1 && study.strings.length < 5

/** The one instrument that all strings of a study belong to, or null. */
export function oneInstrument({ strings }: Study): string | null {
  const [first = null, ...others] = new Set(strings.map(instrumentOf))
  return others.length === 0 ? first : null
}

/** A string's id; without its instrument where there is only one. */
export const stringWord = (study: Study, id: string): string => (oneInstrument(study) === null ? id : noteOf({ id }))

export function columnsOf(study: Study, shownString: string): readonly Column[] {
  if (stringsAreColumns(study)) {
    const room = study.rooms[0]?.id ?? ''
    const pooled = study.strings.length > 1 ? [{ string: allStrings, room, title: allStrings }] : []
    return [
      ...pooled,
      ...study.strings.map((string) => ({ string: string.id, room, title: stringWord(study, string.id) })),
    ]
  }
  return study.rooms.map((room) => ({ string: shownString, room: room.id, title: roomTitle(room) }))
}

/** What differs comes first: a narrow column cuts the end off. */
function roomTitle({ id, variant }: Study['rooms'][number]): string {
  const suffix = `/${variant}`
  return variant === 'string' || !id.endsWith(suffix)
    ? id
    : `${variant.replace('-', ' ')}, ${id.slice(0, -suffix.length)}`
}

/** A cell and how many more trials it needs before its intervals mean anything. */
export interface BenchCell extends Cell {
  readonly lacking: number
}

export interface Cells {
  /** undefined while nothing was computed there. */
  at(string: string, room: string, snrDb: number, method: string): BenchCell | undefined
}

const name = (string: string, room: string, snrDb: number, method: string) => `${string}|${room}|${snrDb}|${method}`

export function cellsOf(results: BenchSummary | null): Cells {
  const byName = new Map<string, BenchCell>()
  const strings = results?.summary.header.study.strings.length ?? 1
  for (const cell of [...(results?.summary.cells ?? []), ...(results?.pooled ?? [])]) {
    const lacking = trialsMissing(cell.n + cell.failed, cell.string === allStrings ? strings : 1)
    byName.set(name(cell.string, cell.room, cell.snrDb, cell.method), { ...cell, lacking })
  }
  return { at: (...where) => byName.get(name(...where)) }
}

/**
 * A median has a distribution-free 95 % interval from six values on: the chance that all lie on one side of it is
 * 2 / 2^6 = 3.1 % (2 / 2^5 = 6.3 %). Below that the place is hatched.
 */
export const fewestForInterval = 6

/**
 * Strings are strata of the bootstrap, and resampling m trials of a stratum gives (m - 1) / m of their variance: none at
 * all with one, 13 % too narrow an interval with four. So pooled strings need four trials each.
 */
const fewestPerString = 4

export const trialsMissing = (trials: number, strings: number): number =>
  Math.max(0, fewestForInterval - trials, strings > 1 ? fewestPerString * strings - trials : 0)

/** A figure without the interval that so few trials cannot carry. */
export function trusted(cell: BenchCell, figure: Figure | null): Figure | null {
  return figure === null || cell.lacking === 0 ? figure : { ...figure, low: Number.NaN, high: Number.NaN }
}

/** Ratios in rising order, whatever the order of the study. */
export const ratiosOf = (study: Study): readonly number[] => [...study.snrsDb].sort((a, b) => a - b)

/** The next point in a direction; stays where there is none. */
export function neighbour(
  study: Study,
  columns: readonly Column[],
  methods: readonly string[],
  point: Point | null,
  step: { readonly ratio?: number; readonly method?: number; readonly column?: number },
): Point | null {
  const ratios = ratiosOf(study)
  const first = columns[0]
  if (first === undefined || methods.length === 0 || ratios.length === 0) return null
  if (point === null) {
    return { string: first.string, room: first.room, snrDb: ratios[0] as number, method: methods[0] as string }
  }
  const within = <T>(list: readonly T[], at: number): T => list[Math.min(list.length - 1, Math.max(0, at))] as T
  const columnAt = columns.findIndex((column) => column.string === point.string && column.room === point.room)
  const column = within(columns, columnAt + (step.column ?? 0))
  return {
    string: column.string,
    room: column.room,
    snrDb: within(ratios, ratios.indexOf(point.snrDb) + (step.ratio ?? 0)),
    method: within(methods, methods.indexOf(point.method) + (step.method ?? 0)),
  }
}
