/**
 * Once a run of browser tests: builds the product's page as `npm start` does. Ten files open it, and a build takes as long as many
 * of their tests.
 */
import { mkdtempSync, rmSync } from 'node:fs'
import { tmpdir } from 'node:os'
import { dirname, join } from 'node:path'
import { fileURLToPath } from 'node:url'
import { build } from 'vite'
import type { TestProject } from 'vitest/node'

declare module 'vitest' {
  export interface ProvidedContext {
    pagesFolder: string
  }
}

const root = join(dirname(fileURLToPath(import.meta.url)), '../..')

export default async function buildPages(project: TestProject): Promise<() => void> {
  const outDir = mkdtempSync(join(tmpdir(), 'e2e-pages-'))
  const configFile = join(root, 'vite.config.ts')
  await build({ configFile, logLevel: 'error', build: { outDir, emptyOutDir: true } })
  project.provide('pagesFolder', outDir)
  return () => rmSync(outDir, { recursive: true, force: true })
}
