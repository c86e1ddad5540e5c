/**
 * `npm run closed-loop`: are a plan's numbers true? Settings of closedloop/settings.ts are predicted from records of the preset
 * `plan`, then lived through on freshly rendered sound; the two stand side by side in closed-loop.md.
 *
 * May be interrupted (Ctrl-C) and started again: what was done is kept in .cache/closed-loop/, keyed by sources, engine and choices.
 * `-- --episodes 40 --only quiet,bass` for a look, `--jobs N`; `--done` hears nothing more and tells of what there is.
 */
import { spawnSync } from 'node:child_process'
import { createHash } from 'node:crypto'
import { appendFileSync, existsSync, mkdirSync, readFileSync, truncateSync, writeFileSync } from 'node:fs'
import { availableParallelism, cpus } from 'node:os'
import { dirname, join } from 'node:path'
import { fileURLToPath } from 'node:url'
import { parseArgs } from 'node:util'
import { Worker } from 'node:worker_threads'
import type { HeardEpisode } from '../../src/core/plan/closedloop.ts'
import { trialCount } from '../../src/core/study/record.ts'
import type { Outcome, Study } from '../../src/core/study/study.ts'
import { compare, requestOf } from './closedloop/figures.ts'
import { type Row, reportText } from './closedloop/markdown.ts'
import { asPreset, type Setting, settings, studyOf } from './closedloop/settings.ts'
import type { Task } from './closedloop/worker.ts'
import { hashOfFiles } from './report/journal.ts'

/** Of the records, and of the evenings: no other test or bench has these. */
const recordSeed = 631_001
const eveningSeed = 631_777
const predictedEpisodes = 4096
const intervalRounds = 200
const episodesAtOnce = 5

const say = (text: string): void => void process.stderr.write(`${text}\n`)

export async function main(words: readonly string[], root: string): Promise<number> {
  const { values } = parseArgs({
    args: [...words],
    options: {
      episodes: { type: 'string', default: '400' },
      only: { type: 'string' },
      jobs: { type: 'string' },
      report: { type: 'boolean', default: false },
      done: { type: 'boolean', default: false },
    },
  })
  const episodes = Number(values.episodes)
  const only = values.only?.split(',')
  const chosen = settings.filter(({ id }) => only?.includes(id) ?? true)
  const sources = sourcesOf(root)
  const folder = join(root, '.cache', 'closed-loop')
  mkdirSync(folder, { recursive: true })
  const pool = new Pool(Number(values.jobs ?? availableParallelism()))
  const rows: Row[] = []
  try {
    for (const setting of chosen) {
      const study = studyOf(setting, recordSeed)
      const path = (hash: string, what: object, kind: string): string =>
        join(folder, `${setting.id}-${keyOf(hash, what)}-${kind}.jsonl`)
      const recordsPath = path(sources.ofRecords, study, 'records')
      const eveningsPath = path(sources.ofEvenings, [setting, study, eveningSeed], 'evenings')
      const tasks = recordTasks(setting, study)
      if (values.done && (leftOf(tasks, recordsPath) > 0 || !existsSync(eveningsPath))) {
        say(`${setting.id}: nothing to tell yet`)
        continue
      }
      const outcomes = await recorded(pool, tasks, recordsPath)
      const request = requestOf(setting, study, outcomes)
      const heard = values.done
        ? [...readDone<HeardEpisode>(eveningsPath).values()].flat()
        : await lived(
            pool,
            { kind: 'episodes', setting, study, request, seed: eveningSeed, from: 0, to: episodes },
            eveningsPath,
          )
      const how = { episodes: predictedEpisodes, rounds: intervalRounds }
      const told = compare(request, setting, heard, how)
      const preset = asPreset(study, outcomes)
      const ofPreset = compare(requestOf(setting, preset.study, preset.outcomes), setting, heard, how)
      const row = { setting, told, ofPreset, heard, plucks: study.repeats, ofPresetPlucks: preset.study.repeats }
      rows.push(row)
      for (const { name, predicted, achieved, covered } of told) {
        const [p, a] = [predicted, achieved].map(({ value, low, high }) =>
          [value, low, high].map((figure) => figure.toFixed(3)).join(' '),
        )
        say(`${setting.id} ${name}: predicted ${p}, achieved ${a}${covered ? '' : ', not covered'}`)
      }
    }
  } finally {
    pool.end()
  }
  const text = reportText(rows, {
    engine: `Node ${process.version}`,
    machine: `${cpus().length} x ${cpus()[0]?.model ?? 'unknown'}`,
    ...{ recordSeed, eveningSeed, intervalRounds, predictedEpisodes },
    sources: `commit ${commitOf(root)}, records ${sources.ofRecords}, evenings ${sources.ofEvenings}`,
  })
  if (values.report) writeFileSync(join(root, 'tests/bench/closed-loop.md'), text)
  else process.stdout.write(text)
  return 0
}

/** Of src/core/plan: files that only predict. An evening on sound never asks them (of records.ts it has the types). */
const onlyPredicting =
  /^src.core.plan.(records|fromrun|plucks|byforce|standins|sorted|ownclaims|alike|choose|sentences|told|whatif|asmethod|floor|handfit|stagespay)\.ts$/
/** Of src/core: what no trial of a study asks. */
const beyondTrials = /^src.core.(plan|room|drill)\b/

const sourcesOf = (root: string): { readonly ofRecords: string; readonly ofEvenings: string } => {
  const hashWithout = (beside: RegExp): string =>
    hashOfFiles(root, ['src/core', 'signals'], ['package-lock.json'], (name) => !beside.test(name))
  return { ofRecords: hashWithout(beyondTrials), ofEvenings: hashWithout(onlyPredicting) }
}

const commitOf = (root: string): string =>
  spawnSync('git', ['rev-parse', '--short', 'HEAD'], { cwd: root, encoding: 'utf8' }).stdout?.trim() || 'unknown'

const keyOf = (sources: string, what: object): string =>
  createHash('sha256')
    .update(JSON.stringify([what, sources, process.version]))
    .digest('hex')
    .slice(0, 16)

/** Cells are cut into tasks of so many trials. */
const trialsAtOnce = 100

function recordTasks(setting: Setting, study: Study): Task[] {
  const count = trialCount(study)
  return Array.from({ length: Math.ceil(count / trialsAtOnce) }, (_, task) => ({
    ...{ kind: 'trials', setting, study },
    ...{ from: task * trialsAtOnce, to: Math.min(count, (task + 1) * trialsAtOnce) },
  }))
}

/** Outcomes in trial order. */
const recorded = async (pool: Pool, tasks: readonly Task[], path: string): Promise<Outcome[]> =>
  (await pool.all<Outcome[]>(tasks, path)).flat(2).map(mended)

const partOf = ({ from, to }: Task): string => `${from}-${to}`

function leftOf(tasks: readonly Task[], path: string): number {
  const done = readDone(path)
  return tasks.filter((task) => !done.has(partOf(task))).length
}

async function lived(pool: Pool, whole: Task & { kind: 'episodes' }, path: string): Promise<HeardEpisode[]> {
  const tasks: Task[] = []
  for (let from = 0; from < whole.to; from += episodesAtOnce)
    tasks.push({ ...whole, from, to: Math.min(whole.to, from + episodesAtOnce) })
  return (await pool.all<HeardEpisode>(tasks, path)).flat()
}

/** null is NaN. */
const mended = (outcome: Outcome): Outcome =>
  outcome.state === 'failed'
    ? outcome
    : {
        ...outcome,
        score: Object.fromEntries(
          Object.entries(outcome.score).map(([name, value]) => [name, value ?? Number.NaN]),
        ) as unknown as typeof outcome.score,
      }

class Pool {
  readonly #workers: readonly Worker[]

  constructor(jobs: number) {
    const file = join(dirname(fileURLToPath(import.meta.url)), 'worker.js')
    this.#workers = Array.from({ length: jobs }, () => new Worker(file))
  }

  /** Answers to all tasks in their order; those in the file already are not asked again, the others are added to it. */
  async all<T>(tasks: readonly Task[], path: string): Promise<T[][]> {
    const done = readDone<T>(path)
    const left = tasks.filter((task) => !done.has(partOf(task)))
    const startMs = Date.now()
    let saidMs = startMs
    let finished = 0
    await Promise.all(
      this.#workers.map(async (worker) => {
        for (let task = left.shift(); task !== undefined; task = left.shift()) {
          const { setting, kind } = task
          const answer = await asked<T>(worker, task)
          // As it will be read.
          const text = JSON.stringify([partOf(task), answer])
          appendFileSync(path, `${text}\n`)
          done.set(partOf(task), (JSON.parse(text) as [string, T[]])[1])
          finished++
          if (Date.now() - saidMs < 20_000) continue
          saidMs = Date.now()
          const eachS = (saidMs - startMs) / 1000 / finished
          say(`${setting.id} ${kind}: ${left.length} parts left, ${Math.round((left.length * eachS) / 60)} min`)
        }
      }),
    )
    return tasks.map((task) => done.get(partOf(task)) as T[])
  }

  end(): void {
    for (const worker of this.#workers) void worker.terminate()
  }
}

const asked = <T>(worker: Worker, task: Task): Promise<T[]> =>
  new Promise((resolve, reject) => {
    const failed = (error: Error): void => reject(error)
    worker.once('error', failed)
    worker.once('message', (answer: T[]) => {
      worker.off('error', failed)
      resolve(answer)
    })
    worker.postMessage(task)
  })

/** A line torn by an interruption is dropped. */
function readDone<T>(path: string): Map<string, T[]> {
  if (!existsSync(path)) return new Map()
  const bytes = readFileSync(path)
  const whole = bytes.subarray(0, bytes.lastIndexOf('\n') + 1)
  if (whole.length < bytes.length) truncateSync(path, whole.length)
  const lines = whole
    .toString('utf8')
    .split('\n')
    .filter((line) => line !== '')
  return new Map(lines.map((line) => JSON.parse(line) as [string, T[]]))
}
