import { Command } from 'commander'
import { type Cell, type Figure, summarise } from '../../core/score/summary.ts'
import { csvOfCells } from '../../core/score/table.ts'
import { parseRun, trialsOf } from '../../core/study/record.ts'
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
      else if (options.csv) process.stdout.write(csvOfCells(summary.cells))
      else process.stdout.write(tableOf(summary.cells))
      const { from, to } = trialsOf(run.header.study, run.header.shard)
      const total = to - from
      if (run.completeTrials < total) throw new Exit(5, `${path}: incomplete, ${run.completeTrials} of ${total} trials`)
    })

const columns: readonly (readonly [string, (cell: Cell) => string])[] = [
  ['string', (cell) => cell.string],
  ['room', (cell) => cell.room],
  ['dB', (cell) => String(cell.snrDb)],
  ['method', (cell) => cell.method],
  ['n', (cell) => String(cell.n)],
  ['error c', (cell) => told(cell.medianAbsCents)],
  ['deviation c', (cell) => told(cell.sdCents)],
  ['bound c', (cell) => (cell.boundSdCents === null ? '' : cell.boundSdCents.toPrecision(2))],
  ['lock s', (cell) => told(cell.lockS)],
  ['true', (cell) => told(cell.trueRate)],
  ['false', (cell) => told(cell.falseRoomRate)],
  ['no lock', (cell) => told(cell.noLockRate)],
]

/** "0.31 (0.28 to 0.40)"; an end beyond the take, or one that too few trials leave open, is a question mark. */
function told(figure: Figure | null): string {
  if (figure === null) return '-'
  const [value, low, high] = [figure.value, figure.low, figure.high].map((end) =>
    Number.isFinite(end) ? end.toPrecision(2) : '?',
  )
  return `${value} (${low} to ${high})`
}

function tableOf(cells: readonly Cell[]): string {
  const rows = [columns.map(([title]) => title), ...cells.map((cell) => columns.map(([, show]) => show(cell)))]
  const widths = columns.map((_, column) => Math.max(...rows.map((row) => row[column].length)))
  return rows
    .map(
      (row) =>
        `${row
          .map((text, column) => text.padEnd(widths[column]))
          .join('  ')
          .trimEnd()}\n`,
    )
    .join('')
}
