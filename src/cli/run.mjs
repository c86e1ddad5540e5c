/** `npm run -s cli -- COMMAND`: sees to packages and bundle, then hands over to src/cli/main.ts. */
import './setup.mjs'
import { join } from 'node:path'
import { pathToFileURL } from 'node:url'

// A reader that closes early (`| head`) is no error of ours.
process.stdout.on('error', (error) => process.exit(error.code === 'EPIPE' ? 0 : 1))

const { bundledCli } = await import('./bundle.mjs')
const folder = await bundledCli()
const { main } = await import(pathToFileURL(join(folder, 'main.js')).href)
process.exitCode = await main(process.argv.slice(2))
