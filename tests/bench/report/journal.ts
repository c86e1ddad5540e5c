/**
 * What has been run, so that an interrupted bench goes on where it stopped: one file a part, one line a trial.
 *
 * A part's file is named by a hash of its study and of every source that a trial's figures depend on: whatever is found
 * under that name is what a new run would give, to the last bit on the same engine. A line torn by an interruption is
 * dropped. Levels are left out: the report does not use them, and they are half of the bytes.
 */
import { createHash } from 'node:crypto'
import { appendFileSync, existsSync, mkdirSync, readdirSync, readFileSync, truncateSync } from 'node:fs'
import { join } from 'node:path'
import type { Score } from '../../../src/core/score/score.ts'
import type { Close, CloseOutcome } from './closely.ts'
import type { Part } from './plan.ts'

/** Hash over names and contents of all files that match, in order of name. */
export function hashOfFiles(
  root: string,
  folders: readonly string[],
  files: readonly string[],
  counts: (name: string) => boolean = () => true,
): string {
  const inside = folders.flatMap((folder) =>
    readdirSync(join(root, folder), { recursive: true, encoding: 'utf8' })
      .filter((name) => /\.(ts|json)$/.test(name))
      .map((name) => join(folder, name))
      .filter(counts),
  )
  const hash = createHash('sha256')
  for (const file of [...inside, ...files].sort()) hash.update(file).update(readFileSync(join(root, file)))
  return hash.digest('hex').slice(0, 16)
}

/** Everything between a plan and its outcomes. What only makes the report from them may change. */
export const sourceHash = (root: string): string =>
  hashOfFiles(
    root,
    ['src/core', 'signals'],
    ['package-lock.json', ...['aubio.ts', 'closely.ts', 'contestants.ts'].map((name) => `tests/bench/report/${name}`)],
  )

export const partKey = ({ id, study, closely }: Part, sources: string): string => {
  const hash = createHash('sha256').update(JSON.stringify([study, closely, sources, process.version]))
  return `${id}-${hash.digest('hex').slice(0, 16)}`
}

export interface Journal {
  /** Trial index -> its outcomes, in the study's method order. */
  readonly trials: ReadonlyMap<number, readonly CloseOutcome[]>
  add(index: number, outcomes: readonly CloseOutcome[]): void
}

/** Reads what is there. @param path without its ending */
export function openJournal(path: string): Journal {
  const file = `${path}.jsonl`
  const trials = new Map<number, readonly CloseOutcome[]>()
  if (existsSync(file)) {
    const bytes = readFileSync(file)
    const whole = bytes.subarray(0, bytes.lastIndexOf('\n') + 1)
    if (whole.length < bytes.length) truncateSync(file, whole.length)
    for (const line of whole.toString('utf8').split('\n')) {
      if (line === '') continue
      const [index, outcomes] = JSON.parse(line) as [number, CloseOutcome[]]
      trials.set(index, outcomes.map(mended))
    }
  }
  return {
    trials,
    add(index, outcomes) {
      const kept = outcomes.map(
        (outcome): CloseOutcome => (outcome.state === 'scored' ? { ...outcome, levels: null } : outcome),
      )
      mkdirSync(join(path, '..'), { recursive: true })
      appendFileSync(file, `${JSON.stringify([index, kept])}\n`)
      // As it will be read: a run that was interrupted and one that was not then work on the very same numbers.
      trials.set(index, (JSON.parse(JSON.stringify(kept)) as CloseOutcome[]).map(mended))
    },
  }
}

/** null is NaN. */
function mended(outcome: CloseOutcome): CloseOutcome {
  if (outcome.state !== 'scored') return outcome
  const score = valued(outcome.score) as unknown as Score
  return outcome.close === undefined
    ? { ...outcome, score }
    : { ...outcome, score, close: valued(outcome.close) as unknown as Close }
}

const valued = (record: object): Record<string, unknown> =>
  Object.fromEntries(Object.entries(record).map(([name, value]) => [name, value ?? Number.NaN]))
