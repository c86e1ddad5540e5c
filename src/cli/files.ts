/**
 * Reading and writing files for the commands. Whatever goes wrong becomes a Problem that begins with the file's name; what is
 * written appears whole under its name or not at all.
 */
import { mkdirSync, readFileSync, renameSync, rmSync, writeFileSync } from 'node:fs'
import { join } from 'node:path'
import { Problem, problemWithin } from '../core/problem.ts'

export function readBytes(path: string): Uint8Array {
  try {
    return readFileSync(path)
  } catch (error) {
    throw new Problem(`cannot be read (${reasonOf(error)})`, path)
  }
}

export const readText = (path: string): string => new TextDecoder().decode(readBytes(path))

/** `parse` applied to the JSON in a file. @throws Problem whose path begins with the file's name. */
export function readJson<T>(path: string, parse: (json: unknown) => T): T {
  const text = readText(path)
  let json: unknown
  try {
    json = JSON.parse(text)
  } catch (error) {
    throw new Problem(`is no JSON (${error instanceof Error ? error.message : 'unreadable'})`, path)
  }
  return within(path, () => parse(json))
}

/** Runs `work`; a Problem that leaves it is told with the file's name in front. */
export function within<T>(path: string, work: () => T): T {
  try {
    return work()
  } catch (error) {
    throw error instanceof Problem ? problemWithin(path, error) : error
  }
}

/** Writes all files into `folder`, each first under a draft name: an interruption leaves no half-written file. */
export function writeAll(folder: string, files: Readonly<Record<string, Uint8Array | string>>): void {
  const drafts: (readonly [string, string])[] = []
  try {
    mkdirSync(folder, { recursive: true })
    for (const [name, content] of Object.entries(files)) {
      const draft = join(folder, `.${name}.${process.pid}.draft`)
      drafts.push([draft, join(folder, name)])
      writeFileSync(draft, content)
    }
    for (const [draft, path] of drafts) renameSync(draft, path)
  } catch (error) {
    for (const [draft] of drafts) rmSync(draft, { force: true })
    throw new Problem(`cannot be written (${reasonOf(error)})`, folder)
  }
}

export function reasonOf(error: unknown): string {
  const code = (error as NodeJS.ErrnoException | undefined)?.code
  if (code === 'ENOENT') return 'no such file or folder'
  if (code === 'EISDIR') return 'it is a folder'
  return code ?? 'unknown reason'
}
