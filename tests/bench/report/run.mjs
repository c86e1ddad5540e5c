/**
 * `npm run bench [-- --quick --expect --report --jobs N --parts a,b]`: measures every method on the plan of plan.ts and
 * writes bench-report.md and bench-report.json beside this file, and the table in README.md.
 *
 * May be interrupted (Ctrl-C) and started again: it goes on where it stopped, with the same figures. `--report` writes the report of
 * what has been run so far; `--expect` only says how long the rest will take; `--quick` runs a small plan into .cache/bench/ in two minutes and leaves report and README alone.
 * Timings want a quiet machine.
 */
import '../../../src/cli/setup.mjs'
import { rmSync } from 'node:fs'
import { dirname, join } from 'node:path'
import { fileURLToPath, pathToFileURL } from 'node:url'
import { build } from 'vite'

const root = join(dirname(fileURLToPath(import.meta.url)), '../../..')
const here = join(root, 'tests/bench/report')
// A bundle of its own for every run: two runs at once do not meet.
const folder = join(root, '.cache', `bench-bundle-${process.pid}`)
await build({
  configFile: false,
  root,
  logLevel: 'error',
  build: {
    ssr: true,
    target: 'node20',
    outDir: folder,
    emptyOutDir: true,
    minify: false,
    rolldownOptions: {
      input: { main: join(here, 'main.ts'), worker: join(here, 'worker.ts') },
      output: { entryFileNames: '[name].js', chunkFileNames: '[name]-[hash].js' },
    },
  },
})
try {
  const { main } = await import(pathToFileURL(join(folder, 'main.js')).href)
  process.exitCode = await main(process.argv.slice(2), root)
} finally {
  rmSync(folder, { recursive: true, force: true })
}
