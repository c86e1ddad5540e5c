/**
 * `npm test`: type checks, style, unused code, then every test; the last line is one plain total.
 * Usage: node tests/run.mjs [checks]   (`checks` leaves the tests out)
 */
import { spawnSync } from 'node:child_process'
import { existsSync, mkdirSync, readFileSync, rmSync } from 'node:fs'
import { dirname, join } from 'node:path'
import { fileURLToPath } from 'node:url'

const root = join(dirname(fileURLToPath(import.meta.url)), '..')
const bin = (name) => join(root, 'node_modules', '.bin', name)
const total = { passed: 0, failed: 0, skipped: 0 }

function run(command, args, env = {}) {
  return (
    spawnSync(command, args, { cwd: root, stdio: ['ignore', 'inherit', 'inherit'], env: { ...process.env, ...env } })
      .status === 0
  )
}

function check(title, command, args) {
  const passed = run(command, args)
  process.stdout.write(`${passed ? 'passed' : 'FAILED'}: ${title}\n`)
  total[passed ? 'passed' : 'failed'] += 1
}

const projects = ['src/core', 'worklets', 'src/cli', '.', 'tests']
for (const project of projects) check(`types of ${project}`, bin('tsc'), ['-p', join(root, project, 'tsconfig.json')])
check('style', bin('biome'), ['ci', '--error-on-warnings', '--colors=off', '.'])
check('no unused files, exports or packages', bin('knip'), [])

if (process.argv[2] !== 'checks') {
  const noteFile = join(root, '.cache', 'browser')
  const browser = existsSync(noteFile) ? readFileSync(noteFile, 'utf8') : ''
  const results = join(root, '.cache', 'tests.json')
  mkdirSync(dirname(results), { recursive: true })
  rmSync(results, { force: true })
  const only = browser === '' ? ['--project', 'node'] : []
  const ran = run(
    bin('vitest'),
    ['run', '--reporter=default', '--reporter=json', `--outputFile.json=${results}`, ...only],
    browser === '' ? {} : { CHROME_PATH: browser },
  )
  const report = existsSync(results) ? JSON.parse(readFileSync(results, 'utf8')) : null
  total.passed += report?.numPassedTests ?? 0
  total.failed += report?.numFailedTests ?? 0
  total.skipped += (report?.numPendingTests ?? 0) + (report?.numTodoTests ?? 0)
  // A suite that cannot even be loaded holds no test that failed, and must not pass for that.
  if (!ran && (report?.numFailedTests ?? 0) === 0) total.failed += 1
  if (browser === '') process.stdout.write('SKIPPED: every browser test, because no Chromium was found\n')
}

process.stdout.write(
  `${total.passed} passed, ${total.failed} failed${total.skipped > 0 ? `, ${total.skipped} skipped` : ''}\n`,
)
process.exitCode = total.failed === 0 ? 0 : 1
