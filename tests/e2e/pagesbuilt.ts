/**
 * Once a run of browser tests: builds the product's page as `npm start` does. Ten files open it, and a build takes as long as many
 * of their tests.
 */
import { mkdtempSync, rmSync } from 'node:fs'
import { tmpdir } from 'node:os'
import { dirname, join } from 'node:path'
import { fileURLToPath } from 'node:url'
import { build } from 'vite'

const root = join(dirname(fileURLToPath(import.meta.url)), '../..')

/** Where they are is told to the workers by the environment: browser.ts is used by long measurements outside vitest too. */
export default async function buildPages(): Promise<() => void> {
  const outDir = mkdtempSync(join(tmpdir(), 'e2e-pages-'))
  const configFile = join(root, 'vite.config.ts')
  await build({ configFile, logLevel: 'error', build: { outDir, emptyOutDir: true } })
  process.env.E2E_PAGES = outDir
  return () => rmSync(outDir, { recursive: true, force: true })
}
