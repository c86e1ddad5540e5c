/** `npm run soak [-- --minutes N]`: what soak.ts measures, written to tests/bench/soak.md. */
import { fileURLToPath } from 'node:url'
import { parseArgs } from 'node:util'
import { runnerImport } from 'vite'

const { values } = parseArgs({ options: { minutes: { type: 'string', default: '30' } } })
const minutes = Number(values.minutes)
if (!(minutes >= 1)) {
  console.error('usage: npm run soak -- [--minutes N]   (1 or more)')
  process.exit(2)
}
const file = fileURLToPath(new URL('soak.ts', import.meta.url))
const { module } = await runnerImport(file, { configFile: false, logLevel: 'error' })
process.exitCode = (await module.soak(minutes)) ? 0 : 1
