/** The command line, run in this thread: what it answers, and every word it writes. */
import { vi } from 'vitest'
import { main } from '../../src/cli/main.ts'

export async function runCli(...words: string[]): Promise<{ code: number; out: string; err: string }> {
  const out: unknown[] = []
  const err: unknown[] = []
  const stdout = vi.spyOn(process.stdout, 'write').mockImplementation((text) => out.push(text) > 0)
  const stderr = vi.spyOn(process.stderr, 'write').mockImplementation((text) => err.push(text) > 0)
  const code = await main(words)
  stdout.mockRestore()
  stderr.mockRestore()
  return { code, out: out.join(''), err: err.join('') }
}
