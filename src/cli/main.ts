/**
 * The command line: data on stdout, progress on stderr. Exit codes: 0 ok, 1 internal, 2 usage, 4 bad input, 5 incomplete,
 * 130 interrupted. Every command is one file under commands/ and one line here.
 */
import { Command, CommanderError } from 'commander'
import { Problem } from '../core/problem.ts'
import { boundCommand } from './commands/bound.ts'
import { instrumentsCommand } from './commands/instruments.ts'
import { listenCommand } from './commands/listen.ts'
import { mergeCommand } from './commands/merge.ts'
import { methodsCommand } from './commands/methods.ts'
import { planCommand } from './commands/plan.ts'
import { renderCommand } from './commands/render.ts'
import { roomsCommand } from './commands/rooms.ts'
import { scoreCommand } from './commands/score.ts'
import { summaryCommand } from './commands/summary.ts'
import { sweepCommand } from './commands/sweep.ts'
import { Exit } from './exit.ts'

const commands = [
  methodsCommand,
  roomsCommand,
  instrumentsCommand,
  renderCommand,
  listenCommand,
  scoreCommand,
  boundCommand,
  sweepCommand,
  mergeCommand,
  summaryCommand,
  planCommand,
]

/** Runs one command. @returns the exit code; never throws. */
export async function main(words: readonly string[]): Promise<number> {
  const program = new Command('clatterbench')
    .description('Measures how pitch-detection methods hold up in stage noise.')
    .exitOverride()
    .showHelpAfterError('(--help lists what there is)')
  for (const command of commands) program.addCommand(inherited(command(), program))
  try {
    await program.parseAsync(words, { from: 'user' })
    return 0
  } catch (error) {
    return exitCodeOf(error)
  }
}

function inherited(command: Command, program: Command): Command {
  return command.copyInheritedSettings(program).allowExcessArguments(false)
}

function exitCodeOf(error: unknown): number {
  if (error instanceof Exit) {
    if (error.message !== '') process.stderr.write(`${error.message}\n`)
    return error.code
  }
  if (error instanceof Problem) {
    process.stderr.write(`${error.sentence}\n`)
    return 4
  }
  if (error instanceof CommanderError) return error.exitCode === 0 ? 0 : 2
  process.stderr.write(
    `internal error, please report it: ${error instanceof Error ? (error.stack ?? error.message) : error}\n`,
  )
  return 1
}
