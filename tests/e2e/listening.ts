/** A site and a browser whose input is a given sound, for all tests of one `describe`. */
import { mkdtempSync, rmSync, writeFileSync } from 'node:fs'
import { tmpdir } from 'node:os'
import { join } from 'node:path'
import { afterAll, beforeAll } from 'vitest'
import { type Site, servePages } from './browser.ts'
import { fakeInput, pcm16 } from './fakeinput.ts'

/** There once the tests run. */
export interface Listening<B> {
  site: Site
  browser: B
  /** For files of the tests; gone after them. */
  folder: string
}

/** `samples`: 48 kHz, full scale 1. Call it inside `describe`. */
export function listening<B extends { close(): Promise<void> }>(
  samples: () => Float32Array,
  launch: (flags: readonly string[]) => Promise<B>,
): Listening<B> {
  const opened: Partial<Listening<B>> = {}
  beforeAll(async () => {
    opened.folder = mkdtempSync(join(tmpdir(), 'listening-'))
    const path = join(opened.folder, 'sound.wav')
    writeFileSync(path, pcm16(samples()))
    opened.site = await servePages()
    opened.browser = await launch(fakeInput(path))
  })
  afterAll(async () => {
    await opened.browser?.close()
    await opened.site?.close()
    if (opened.folder !== undefined) rmSync(opened.folder, { recursive: true, force: true })
  })
  return opened as Listening<B>
}
