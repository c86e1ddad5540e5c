/**
 * Builds and serves the page. Root is src/app; everything the page needs is shipped with it (licence texts too), so that
 * no request leaves the origin. The two isolation headers allow shared memory where the browser offers it.
 */
import { createHash } from 'node:crypto'
import { existsSync, readdirSync, readFileSync } from 'node:fs'
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

/** LICENSE and THIRD-PARTY.txt, as files beside the page. */
function licenceTexts(): Plugin {
  const names = ['LICENSE', 'THIRD-PARTY.txt'].filter((name) => existsSync(join(root, name)))
  return {
    name: 'licence-texts',
    generateBundle() {
      for (const name of names) {
        this.emitFile({ type: 'asset', fileName: textName(name), source: readFileSync(join(root, name)) })
      }
    },
    configureServer(server) {
      for (const name of names) {
        server.middlewares.use(`/${textName(name)}`, (_request, response) => {
          response.setHeader('Content-Type', 'text/plain; charset=utf-8')
          response.end(readFileSync(join(root, name)))
        })
      }
    },
  }
}

/** A file without an ending is offered for download by many servers: LICENSE ships as LICENSE.txt. */
const textName = (name: string): string => (name.endsWith('.txt') ? name : `${name}.txt`)

export default defineConfig({
  root: join(root, 'src/app'),
  base: './',
  plugins: [react(), licenceTexts()],
  define: { __CORE_STAMP__: JSON.stringify(coreStamp()) },
  worker: { format: 'es' },
  build: { outDir: join(root, 'dist'), emptyOutDir: true, target: 'es2022', chunkSizeWarningLimit: 900 },
  server: { port: 4173, strictPort: false, headers: isolation, fs: { allow: [root] } },
  preview: { port: 4173, strictPort: false, headers: isolation },
})
