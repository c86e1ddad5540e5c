import {
  closeSync,
  existsSync,
  fsyncSync,
  openSync,
  readFileSync,
  renameSync,
  truncateSync,
  writeFileSync,
  writeSync,
} from 'node:fs'
import { availableParallelism, cpus } from 'node:os'
import { dirname } from 'node:path'
import { Command } from 'commander'
import { version } from '../../../package.json'
import { checked, type Field } from '../../core/fields.ts'
import { instrumentById } from '../../core/instruments/podium.ts'
import { Problem } from '../../core/problem.ts'
import { snrField } from '../../core/scene/parse.ts'
import { Paces } from '../../core/study/pace.ts'
import { parseStudy } from '../../core/study/parse.ts'
import { planPreset, planRoom, planStudy, presetIds, presetStudy, roomById } from '../../core/study/presets.ts'
import { headerOf, parseRun, recordLine, type Shard, trialsOf } from '../../core/study/record.ts'
import type { Study } from '../../core/study/study.ts'
import { studyFields } from '../../core/study/studyfields.ts'
import type { TrialRun } from '../../core/study/trial.ts'
import { runStudy } from '../../host/pool.ts'
import { Exit } from '../exit.ts'
import { readJson, reasonOf, within } from '../files.ts'
import { readRecordings, recordingsOfStudy } from '../library.ts'
import { nodePort } from '../nodeport.ts'
import { progressReport } from '../progress.ts'
import { inRooms, type RoomFile, readRoomFile, roomSentence } from '../roomfile.ts'

interface Options {
  readonly out: string
  readonly seed?: string
  readonly jobs?: string
  readonly repeats?: string
  readonly shard?: string
  readonly instrument?: string
  readonly room?: string
  readonly roomFile?: readonly string[]
  readonly keepRooms?: true
  readonly snr?: readonly string[]
  readonly resume?: true
}

const jobsField: Field = { default: 1, min: 1, max: 256, unit: 'count', whole: true, help: '' }

/** Runs every trial of a study, one JSON line an outcome, in trial order whatever the number of jobs. */
export const sweepCommand = (): Command =>
  new Command('sweep')
    .description(`Run a study into a JSON Lines file. Presets: ${presetIds.join(', ')}.`)
    .argument('<study>', 'preset, or a study file, JSON')
    .requiredOption('--out <file>', 'the run, JSON Lines; timings go to a file beside it')
    .option('--seed <n>', 'another seed than the study has')
    .option('--jobs <n>', 'worker threads; one a core unless said')
    .option('--repeats <n>', 'other repeats than the study has')
    .option('--instrument <id>', 'study plan only: whose strings; the first there is')
    .option('--room <id>', 'study plan only: in which room; stage')
    .option(
      '--room-file <wav...>',
      "rooms recorded with the strings damped, instead of the study's; 2.5 s or more each",
    )
    .option('--keep-rooms', "the study's own rooms too")
    .option('--snr <db...>', 'study plan only: at which ratios')
    .option('--shard <i/n>', 'only this part of the trials; merge puts the parts together')
    .option('--resume', 'go on where the file ends')
    .action(async (name: string, options: Options) => {
      const roomFiles = (options.roomFile ?? []).map(readRoomFile)
      const study = studyOf(name, options, roomFiles)
      const jobs =
        options.jobs === undefined ? availableParallelism() : checked(Number(options.jobs), jobsField, '--jobs')
      const taken = new Map(roomFiles.map(({ recording }) => [recording.id, recording]))
      const others = recordingsOfStudy(study).filter((id) => !taken.has(id))
      const recordings = new Map([...readRecordings(others, existsSync(name) ? dirname(name) : '.'), ...taken])
      const shard = shardOf(options.shard)
      const { from, to } = trialsOf(study, shard)
      const first = from + within(options.out, () => openRun(options, study, shard))
      for (const file of roomFiles) process.stderr.write(`${roomSentence(file, study)}\n`)
      const stop = new AbortController()
      const interrupt = (): void => stop.abort()
      process.once('SIGINT', interrupt)
      process.once('SIGTERM', interrupt)
      const paces = new Paces(study)
      const file = openSync(options.out, 'a')
      const waiting = new Map<number, TrialRun>()
      let next = first
      const progress = progressReport(to - first)
      try {
        await runStudy({
          study,
          recordings,
          spawn: nodePort,
          jobs,
          trials: Array.from({ length: to - first }, (_, offset) => first + offset),
          signal: stop.signal,
          onTrial: (index, run) => {
            waiting.set(index, run)
            paces.add(run.timings)
            progress.done()
            for (let ready = waiting.get(next); ready !== undefined; ready = waiting.get(next)) {
              writeSync(file, ready.outcomes.map(recordLine).join(''))
              waiting.delete(next)
              next += 1
            }
          },
        })
      } finally {
        progress.end()
        fsyncSync(file)
        closeSync(file)
        process.off('SIGINT', interrupt)
        process.off('SIGTERM', interrupt)
        if (next > first) tellPaces(paces, `${options.out}.timings.json`)
      }
      if (next < to) {
        throw new Exit(
          130,
          `interrupted: ${next - from} of ${to - from} trials are in ${options.out}; --resume goes on from there`,
        )
      }
    })

/** "2/5". @throws Problem for anything else. */
function shardOf(given: string | undefined): Shard | undefined {
  if (given === undefined) return undefined
  const [, index, of] = /^(\d+)\/(\d+)$/.exec(given)?.map(Number) ?? []
  if (index === undefined || of === undefined || index < 1 || index > of)
    throw new Problem(`"${given}" is no part of a whole, such as 2/5`, '--shard')
  return { index, of }
}

function named(name: string, { instrument, room, snr }: Options): Study {
  if (instrument !== undefined || room !== undefined || snr !== undefined) {
    if (name !== planPreset)
      throw new Problem(`only the study ${planPreset} takes an instrument, a room or ratios`, name)
    return planStudy({
      room: roomById(room ?? planRoom, '--room'),
      ...(instrument === undefined ? {} : { instrument: instrumentById(instrument, '--instrument') }),
      ...(snr === undefined ? {} : { snrsDb: snr.map((ratio) => checked(Number(ratio), snrField, '--snr')) }),
    })
  }
  return presetIds.includes(name) || !existsSync(name) ? presetStudy(name) : readJson(name, parseStudy)
}

function studyOf(name: string, options: Options, roomFiles: readonly RoomFile[]): Study {
  if (options.keepRooms && roomFiles.length === 0)
    throw new Problem('keeps rooms beside those of --room-file', '--keep-rooms')
  const own = named(name, options)
  const study = roomFiles.length === 0 ? own : inRooms(own, roomFiles, options.keepRooms === true)
  const seed = options.seed === undefined ? study.seed : checked(Number(options.seed), studyFields.seed, '--seed')
  const repeats =
    options.repeats === undefined ? study.repeats : checked(Number(options.repeats), studyFields.repeats, '--repeats')
  return { ...study, seed, repeats }
}

/**
 * Puts the run's header in place. What stood under the name before is kept under another, unless it is to be gone on with.
 * @returns how many trials are there already.
 */
function openRun({ out, resume }: Options, study: Study, shard: Shard | undefined): number {
  const header = recordLine(headerOf(study, version, `node ${process.version}`, shard))
  try {
    if (!existsSync(out)) {
      writeFileSync(out, header)
      return 0
    }
    if (!resume) {
      const kept = Array.from({ length: 1000 }, (_, count) => `${out}.before-${count + 1}`).find(
        (path) => !existsSync(path),
      )
      renameSync(out, kept ?? `${out}.before`)
      process.stderr.write(`${out} was there: kept as ${kept}\n`)
      writeFileSync(out, header)
      return 0
    }
    const text = readFileSync(out, 'utf8')
    if (!text.includes('\n') && header.startsWith(text)) {
      writeFileSync(out, header)
      return 0
    }
    const run = parseRun(text)
    if (!text.startsWith(header))
      throw new Problem('holds another study, recorded room, seed, version or engine: it cannot be gone on with', '')
    truncateSync(out, Buffer.byteLength(text.slice(0, run.completeChars)))
    return run.completeTrials
  } catch (error) {
    if (error instanceof Problem) throw error
    throw new Problem(`cannot be written (${reasonOf(error)})`, '')
  }
}

/** Into a file of its own, with the machine: times are not reproducible. Who cannot keep up live is said aloud. */
function tellPaces(paces: Paces, path: string): void {
  const methods = paces.all()
  const machine = `${cpus().length} x ${cpus()[0]?.model ?? 'unknown'}`
  writeFileSync(path, `${JSON.stringify({ engine: `node ${process.version}`, machine, methods }, null, 2)}\n`)
  for (const { method, microsecondsAFrame, keepsUp } of methods) {
    if (keepsUp === false) {
      process.stderr.write(`${method} does not keep up live here: ${Math.round(microsecondsAFrame)} us a frame\n`)
    }
  }
}
