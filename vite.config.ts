/**
 * Builds and serves the page. Root is src/app; everything the page needs is shipped with it (licence texts too), so that
 * no request leaves the origin. The two isolation headers allow shared memory where the browser offers it.
 */
import { spawnSync } from 'node:child_process'
import { createHash } from 'node:crypto'
import { readdirSync, readFileSync } from 'node:fs'
import { dirname, join } from 'node:path'
import { fileURLToPath } from 'node:url'
import react from '@vitejs/plugin-react'
import { defineConfig, type Plugin } from 'vite'

const root = dirname(fileURLToPath(import.meta.url))
const isolation = {
  'Cross-Origin-Opener-Policy': 'same-origin',
  'Cross-Origin-Embedder-Policy': 'require-corp',
}

/** Hash of the numeric core: results kept by the browser are dropped when it changes, for they came from other code. */
function coreStamp(): string {
  const hash = createHash('sha256')
  const folder = join(root, 'src/core')
  for (const name of readdirSync(folder, { recursive: true, encoding: 'utf8' }).sort()) {
    if (name.endsWith('.ts')) hash.update(name).update(readFileSync(join(folder, name)))
  }
  return hash.digest('hex').slice(0, 12)
}

/** The licence text beside the page; a file without an ending is offered for download by many servers. */
function licenceText(): Plugin {
  const fileName = 'LICENSE.txt'
  const source = readFileSync(join(root, 'LICENSE'))
  return {
    name: 'licence-text',
    generateBundle() {
      this.emitFile({ type: 'asset', fileName, source })
    },
    configureServer(server) {
      server.middlewares.use(`/${fileName}`, (_request, response) => {
        response.setHeader('Content-Type', 'text/plain; charset=utf-8')
        response.end(source)
      })
    },
  }
}

/** The source this page was built from, which the licence promises to whoever gets the page; null outside a git checkout. */
const sourceArchive = ((): Buffer | null => {
  const git = spawnSync('git', ['archive', '--format=tar.gz', 'HEAD'], { cwd: root, maxBuffer: 1 << 28 })
  return git.status === 0 ? git.stdout : null
})()

function sourceBesidePage(): Plugin {
  return {
    name: 'source-beside-page',
    generateBundle() {
      if (sourceArchive !== null) this.emitFile({ type: 'asset', fileName: 'source.tar.gz', source: sourceArchive })
    },
  }
}

export default defineConfig({
  root: join(root, 'src/app'),
  base: './',
  plugins: [react(), licenceText(), sourceBesidePage()],
  define: { __CORE_STAMP__: JSON.stringify(coreStamp()), __HAS_SOURCE__: JSON.stringify(sourceArchive !== null) },
  worker: { format: 'es' },
  build: {
    outDir: join(root, 'dist'),
    emptyOutDir: true,
    target: 'es2022',
    license: { fileName: 'THIRD-PARTY.txt' },
    chunkSizeWarningLimit: 1100,
  },
  server: { port: 4173, strictPort: false, headers: isolation, fs: { allow: [root] } },
  preview: { port: 4173, strictPort: false, headers: isolation },
})
