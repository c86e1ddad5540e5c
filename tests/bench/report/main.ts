/**
 * The bench from beginning to end: timings in quiet, then the studies on worker threads, then report and table.
 *
 * All in one process: every ratio of the report is of figures from one run. Timings are kept with the journal, so that a
 * resumed run reports those it began with.
 */
import { existsSync, mkdirSync, readFileSync, writeFileSync } from 'node:fs'
import { availableParallelism, cpus } from 'node:os'
import { join } from 'node:path'
import { parseArgs } from 'node:util'
import { writeAll } from '../../../src/cli/files.ts'
import { trialCount } from '../../../src/core/study/record.ts'
import { loadAubio } from './aubio.ts'
import { isSlow } from './contestants.ts'
import { trialSeconds } from './estimate.ts'
import { methodFigures } from './figures.ts'
import { claimRows, goalRows } from './goals.ts'
import { openJournal, partKey, sourceHash } from './journal.ts'
import { type Report, reportText } from './markdown.ts'
import { planOf } from './plan.ts'
import { readmeTable, withTable } from './readme.ts'
import { leftOf, minutes, runStages, type Stage, say } from './runparts.ts'
import { Runs } from './runs.ts'
import { measureTimings, type Timings } from './timing.ts'

/** Over this, a method belongs among the slow ones of contestants.ts. */
const slowMicroseconds = 3000

export async function main(words: readonly string[], root: string): Promise<number> {
  const { values } = parseArgs({
    args: [...words],
    options: {
      quick: { type: 'boolean', default: false },
      report: { type: 'boolean', default: false },
      expect: { type: 'boolean', default: false },
      jobs: { type: 'string' },
      parts: { type: 'string' },
    },
  })
  const { quick } = values
  const jobs = Number(values.jobs ?? availableParallelism())
  const only = values.parts?.split(',')
  const sources = sourceHash(root)
  const folder = join(root, '.cache', 'bench')
  mkdirSync(folder, { recursive: true })

  await loadAubio()
  const rounds = quick ? 2 : 7
  const timings = keptTimings(join(folder, `timings-${sources}-${rounds}.json`), rounds)
  const timed = timings.methods
  for (const { method, microsecondsAFrame } of timed) {
    if (microsecondsAFrame > slowMicroseconds && !isSlow(method))
      say(`${method} takes ${Math.round(microsecondsAFrame)} us a frame: name it among the slow ones in contestants.ts`)
  }
  const stages = planOf(quick).map(
    (part): Stage => ({
      part,
      journal: openJournal(join(folder, partKey(part, sources))),
      trialS: trialSeconds(part, timed),
    }),
  )
  const wanted = stages.filter(({ part }) => only === undefined || only.includes(part.id))
  let complete = true
  if (!values.report) {
    const expected = wanted.map((stage) => ({ id: stage.part.id, s: (leftOf(stage).length * stage.trialS) / jobs }))
    say(expected.map(({ id, s }) => `${id} ${minutes(s)}`).join(', '))
    say(`expected: ${minutes(expected.reduce((sum, { s }) => sum + s, 0))} on ${jobs} threads, if nothing else runs`)
    if (values.expect) return 0
    const stop = new AbortController()
    const interrupt = (): void => stop.abort()
    process.once('SIGINT', interrupt)
    process.once('SIGTERM', interrupt)
    complete = await runStages(wanted, jobs, stop.signal)
    process.off('SIGINT', interrupt)
    process.off('SIGTERM', interrupt)
  }
  if (!complete) {
    say('stopped: what was done is kept, and the same command goes on from there; --report writes the report of it')
    return 130
  }
  const report = reportOf(stages, timings, { quick, rounds, sources })
  const place = quick ? join(folder, 'quick') : join(root, 'tests/bench/report')
  writeAll(place, {
    'bench-report.md': reportText(report),
    'bench-report.json': `${JSON.stringify(report, told, 1)}\n`,
    ...(quick ? { 'README-table.md': `${readmeTable(report)}\n` } : {}),
  })
  say(`report: ${join(place, 'bench-report.md')}`)
  if (quick || only !== undefined || report.plan.some(({ done, trials }) => done < trials)) {
    say('README.md is left as it is: the run is not whole')
    return 0
  }
  const readme = readFileSync(join(root, 'README.md'), 'utf8')
  writeAll(root, { 'README.md': withTable(readme, readmeTable(report)) })
  return 0
}

/** JSON knows no infinities: a threshold beyond the ratios that were tried, the end of an interval beyond the take. */
const told = (_name: string, value: unknown): unknown =>
  value === Number.POSITIVE_INFINITY ? 'above' : value === Number.NEGATIVE_INFINITY ? 'below' : value

/** Those that this state of the sources was timed with before, or new ones. */
function keptTimings(file: string, rounds: number): Timings {
  if (existsSync(file)) return JSON.parse(readFileSync(file, 'utf8')) as Timings
  say('timing every method on one thread: keep the machine quiet')
  const timings = measureTimings(rounds)
  writeFileSync(file, JSON.stringify(timings))
  return timings
}

function reportOf(
  stages: readonly Stage[],
  timings: Timings,
  { quick, rounds, sources }: { readonly quick: boolean; readonly rounds: number; readonly sources: string },
): Report {
  const runs = new Runs(stages.map(({ part, journal }) => ({ part, trials: journal.trials })))
  const methods = methodFigures(runs, timings)
  return {
    schema: 1,
    made: {
      date: new Date().toISOString().slice(0, 10),
      engine: `Node ${process.version}`,
      machine: `${cpus().length} x ${cpus()[0]?.model ?? 'unknown'}`,
      ...{ quick, rounds, sources },
    },
    plan: runs.parts().map(({ part, done, failed }) => ({
      id: part.id,
      title: part.title,
      seed: part.study.seed,
      strings: part.study.strings.map(({ id }) => id),
      rooms: part.study.rooms.map(({ id }) => id),
      snrsDb: part.study.snrsDb,
      repeats: part.study.repeats,
      takeS: part.study.takeS,
      roomLearnt: part.study.roomLearnt,
      methods: part.study.methods.length,
      trials: trialCount(part.study),
      ...{ done, failed },
    })),
    goals: goalRows(runs, methods, timings),
    methods,
    falseClaims: claimRows(runs),
    timings,
  }
}
