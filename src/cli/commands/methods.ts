import { cpus, loadavg } from 'node:os'
import { Command } from 'commander'
import { methodById, methods } from '../../core/methods/index.ts'
import type { Method } from '../../core/methods/method.ts'
import { type MethodTiming, timeMethods } from '../../core/study/timing.ts'

/** Lists the pitch-detection methods with their sources and settings, or how long each computes on this machine. */
export const methodsCommand = (): Command =>
  new Command('methods')
    .description('List the pitch-detection methods.')
    .option('--json', 'as JSON')
    .option('--time', 'measure the computing time of a frame on this machine instead')
    .option('--method <id...>', 'these methods only')
    .action((options: { json?: true; time?: true; method?: string[] }) => {
      const wanted = options.method?.map((id) => methodById(id, '--method')) ?? methods
      if (options.time) {
        time(wanted, options.json === true)
        return
      }
      const list = wanted.map(({ id, title, family, source, fields }) => ({ id, title, family, source, fields }))
      if (options.json) {
        process.stdout.write(`${JSON.stringify(list, null, 2)}\n`)
        return
      }
      for (const method of list) {
        process.stdout.write(`${method.id} (${method.family}): ${method.title}. ${method.source}\n`)
        for (const [name, field] of Object.entries(method.fields)) {
          process.stdout.write(
            `  ${name} = ${field.default} ${field.unit} (${field.min} to ${field.max}): ${field.help}\n`,
          )
        }
      }
    })

function time(wanted: readonly Method[], json: boolean): void {
  const engine = `node ${process.version}`
  const machine = { cores: cpus().length, processor: cpus()[0]?.model ?? '', load: loadavg()[0] ?? 0 }
  if (json) {
    const timings = [...timeMethods(wanted, () => performance.now())]
    process.stdout.write(`${JSON.stringify({ engine, ...machine, methods: timings }, null, 2)}\n`)
    return
  }
  process.stdout.write(
    `${engine}, ${machine.cores} cores (${machine.processor}), ${machine.load.toFixed(1)} programs wanting them in the last minute; own settings, the room not known, median of rounds (fastest to slowest)\n`,
  )
  for (const timing of timeMethods(wanted, () => performance.now())) process.stdout.write(`${lineOf(timing)}\n`)
}

function lineOf(timing: MethodTiming): string {
  const { method, family, hopSamples, sampleRateHz, rounds, frames, problem } = timing
  if (problem !== null) return `${method} (${family}): not timed: ${problem}`
  const [us, fastest, slowest] = [timing.microsecondsAFrame, timing.fastest, timing.slowest].map((value) =>
    value.toFixed(value < 100 ? 1 : 0),
  )
  const share = (100 * timing.coreShare).toPrecision(2)
  return (
    `${method} (${family}): ${us} us a frame (${fastest} to ${slowest}; ${rounds} rounds, ${frames} frames), ` +
    `hop ${hopSamples} at ${sampleRateHz} Hz: ${Number(share)} % of a core, ` +
    (timing.keepsUp ? 'keeps up live' : 'does not keep up live')
  )
}
