/**
 * `npm run bench [-- --quick --expect --report --jobs N --parts a,b]`: measures every method on the plan of plan.ts and
 * writes bench-report.md and bench-report.json beside this file, and the table in README.md.
 *
 * May be interrupted (Ctrl-C) and started again: it goes on where it stopped, with the same figures. `--report` writes the report of
 * what has been run so far; `--expect` only says how long the rest will take; `--quick` runs a small plan into .cache/bench/ in two minutes and leaves report and README alone.
 * Timings want a quiet machine.
 */
import { runBundled } from '../bundled.mjs'

await runBundled('bench', 'report/main.ts', 'report/worker.ts')
