/**
 * A run as JSON Lines: one header, then one line an outcome, in trial order and within a trial in the study's method order.
 *
 * The header holds no clock, no number of jobs and no path, so a resumed or one-job run has identical bytes. A shard is a stretch of
 * a run in a file of its own; its header says which. This is the one
 * place that maps NaN in memory to null in JSON and back.
 */
import { Problem } from '../problem.ts'
import type { Score } from '../score/score.ts'
import type { Levels } from './levels.ts'
import type { MethodChoice, Outcome, Study } from './study.ts'

export interface Header {
  readonly schema: 1
  readonly kind: 'header'
  readonly seed: number
  readonly version: string
  /** Such as `node v20.20.2`: continuous readings differ in the last bits between engines. */
  readonly engine: string
  readonly preset: string
  readonly methods: readonly MethodChoice[]
  readonly cells: readonly { readonly string: string; readonly room: string; readonly snrDb: number }[]
  readonly study: Study
  /** Absent: the whole run. */
  readonly shard?: Shard
}

/** Part `index` of `of`, counted from 1. */
export interface Shard {
  readonly index: number
  readonly of: number
}

export interface Run {
  readonly header: Header
  readonly outcomes: readonly Outcome[]
  /** Trials whose every outcome is there, counted from the first one of this file on. */
  readonly completeTrials: number
  /** Length of the text up to the end of the last complete trial: where a resumed run goes on. */
  readonly completeChars: number
}

export function trialCount(study: Study): number {
  return study.strings.length * study.rooms.length * study.snrsDb.length * study.repeats
}

/** Trials [from, to) of a study that belong to a shard: stretches as even as whole trials allow. */
export function trialsOf(study: Study, shard?: Shard): { readonly from: number; readonly to: number } {
  const total = trialCount(study)
  if (shard === undefined) return { from: 0, to: total }
  const { index, of } = shard
  return { from: Math.floor((total * (index - 1)) / of), to: Math.floor((total * index) / of) }
}

export function headerOf(study: Study, version: string, engine: string, shard?: Shard): Header {
  const cells = study.strings.flatMap((string) =>
    study.rooms.flatMap((room) => study.snrsDb.map((snrDb) => ({ string: string.id, room: room.id, snrDb }))),
  )
  return {
    schema: 1,
    kind: 'header',
    seed: study.seed,
    version,
    engine,
    preset: study.id,
    methods: study.methods,
    cells,
    study,
    ...(shard === undefined ? {} : { shard }),
  }
}

/** One line with its line end. JSON.stringify writes NaN as null. */
export const recordLine = (record: Header | Outcome): string => `${JSON.stringify(record)}\n`

/**
 * Reads a run back. A last line that was torn by an interruption is dropped; anything else out of place is refused.
 * @throws Problem with the number of the line.
 */
export function parseRun(text: string): Run {
  const lineEnd = text.indexOf('\n')
  if (lineEnd < 0) throw new Problem('holds no complete header line', 'line 1')
  const header = parseHeader(text.slice(0, lineEnd))
  const outcomes: Outcome[] = []
  const methodCount = header.methods.length
  const { from } = trialsOf(header.study, header.shard)
  let start = lineEnd + 1
  let completeChars = start
  for (let line = 2; start < text.length; line++) {
    const end = text.indexOf('\n', start)
    if (end < 0) break
    outcomes.push(parseOutcome(text.slice(start, end), `line ${line}`, header, from * methodCount + outcomes.length))
    start = end + 1
    if (outcomes.length % methodCount === 0) completeChars = start
  }
  return { header, outcomes, completeTrials: Math.floor(outcomes.length / methodCount), completeChars }
}

function parseHeader(line: string): Header {
  const header = parseLine(line, 'line 1') as Partial<Header>
  if (header.kind !== 'header') throw new Problem('is no run header', 'line 1')
  if (header.schema !== 1) throw new Problem(`schema ${String(header.schema)} is not 1`, 'line 1.schema')
  const whole = header.study !== undefined && Array.isArray(header.methods) && Array.isArray(header.cells)
  if (!whole || header.methods?.length === 0) throw new Problem('lacks study, methods or cells', 'line 1')
  return header as Header
}

function parseOutcome(line: string, where: string, header: Header, position: number): Outcome {
  const raw = parseLine(line, where) as Outcome
  const methodCount = header.methods.length
  const index = Math.floor(position / methodCount)
  if (raw.trial?.index !== index)
    throw new Problem(`trial ${String(raw.trial?.index)} stands where ${index} belongs`, where)
  const expected = header.methods[position % methodCount]
  const isExpected =
    raw.method?.id === expected?.id &&
    JSON.stringify([raw.method?.display, raw.method?.after]) === JSON.stringify([expected?.display, expected?.after])
  if (!isExpected) {
    throw new Problem(`method ${String(raw.method?.id)} stands out of order`, where)
  }
  if (raw.state === 'failed') return raw
  if (raw.state !== 'scored') throw new Problem('state is neither scored nor failed', where)
  const levels = raw.levels ?? null
  return {
    ...raw,
    score: valued(raw.score) as unknown as Score,
    levels: levels === null ? null : (valued(levels) as unknown as Levels),
  }
}

/** null is NaN, in lists too. */
function valued(record: object): Record<string, unknown> {
  const mended = (value: unknown): unknown =>
    Array.isArray(value) ? value.map((each) => each ?? Number.NaN) : (value ?? Number.NaN)
  return Object.fromEntries(Object.entries(record).map(([key, value]) => [key, mended(value)]))
}

function parseLine(line: string, where: string): Record<string, unknown> {
  try {
    const value: unknown = JSON.parse(line)
    if (typeof value === 'object' && value !== null && !Array.isArray(value)) return value as Record<string, unknown>
  } catch {
    throw new Problem('is no JSON', where)
  }
  throw new Problem('is no JSON object', where)
}
