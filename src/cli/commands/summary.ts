import { Command } from 'commander'
import { type Cell, type Figure, summarise } from '../../core/score/summary.ts'
import { parseRun, trialCount } from '../../core/study/record.ts'
import { Exit } from '../exit.ts'
import { readText, within } from '../files.ts'

interface Options {
  readonly json?: true
  readonly csv?: true
}

/** Cells of a run with n, medians, intervals, rates and the bound. */
export const summaryCommand = (): Command =>
  new Command('summary')
    .description('Summarise a run, cell by cell.')
    .argument('<run>', 'run file, JSON Lines')
    .option('--json', 'as JSON')
    .option('--csv', 'as CSV')
    .action((path: string, options: Options) => {
      const run = within(path, () => parseRun(readText(path)))
      const summary = summarise(run.header, run.outcomes)
      if (options.json) process.stdout.write(`${JSON.stringify(summary, null, 2)}\n`)
      else if (options.csv) process.stdout.write(csvOf(summary.cells))
      else process.stdout.write(tableOf(summary.cells))
      const total = trialCount(run.header.study)
      if (run.completeTrials < total) throw new Exit(5, `${path}: incomplete, ${run.completeTrials} of ${total} trials`)
    })
