/** `npm run closed-loop`: bundles closed-loop.ts and its worker for this run and starts it. */
import '../../src/cli/setup.mjs'
import { rmSync } from 'node:fs'
import { dirname, join } from 'node:path'
import { fileURLToPath, pathToFileURL } from 'node:url'
import { build } from 'vite'

const root = join(dirname(fileURLToPath(import.meta.url)), '../..')
const here = join(root, 'tests/bench')
const folder = join(root, '.cache', `closed-loop-bundle-${process.pid}`)
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
      input: { main: join(here, 'closed-loop.ts'), worker: join(here, 'closedloop/worker.ts') },
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
