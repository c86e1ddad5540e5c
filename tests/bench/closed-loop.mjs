/** `npm run closed-loop`: what closed-loop.ts measures. */
import { runBundled } from './bundled.mjs'

await runBundled('closed-loop', 'closed-loop.ts', 'closedloop/worker.ts')
