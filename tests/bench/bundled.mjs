/** A long measurement as a program of its own: bundles its main and its worker for this one run, calls `main`, cleans up. */
import '../../src/cli/setup.mjs'
import { rmSync } from 'node:fs'
import { dirname, join } from 'node:path'
import { fileURLToPath, pathToFileURL } from 'node:url'

const root = join(dirname(fileURLToPath(import.meta.url)), '../..')

/** `main` and `worker`: files under tests/bench. A bundle of its own for every run: two runs at once do not meet. */
export async function runBundled(name, main, worker) {
  // Not before the packages are there.
  const { build } = await import('vite')
  const here = join(root, 'tests/bench')
  const folder = join(root, '.cache', `${name}-bundle-${process.pid}`)
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
        input: { main: join(here, main), worker: join(here, worker) },
        output: { entryFileNames: '[name].js', chunkFileNames: '[name]-[hash].js' },
      },
    },
  })
  try {
    const bundle = await import(pathToFileURL(join(folder, 'main.js')).href)
    process.exitCode = await bundle.main(process.argv.slice(2), root)
  } finally {
    rmSync(folder, { recursive: true, force: true })
  }
}
