/**
 * Set-up before `npm start` and `npm test`, with Node's own modules only: packages when the lockfile changed, and for the
 * tests a Chromium. Usage: node src/cli/setup.mjs [browser]
 */
import { execFileSync, spawnSync } from 'node:child_process'
import { createHash } from 'node:crypto'
import { existsSync, mkdirSync, readFileSync, rmSync, writeFileSync } from 'node:fs'
import { dirname, join } from 'node:path'
import { fileURLToPath } from 'node:url'

const root = join(dirname(fileURLToPath(import.meta.url)), '../..')
const say = (text) => process.stderr.write(`set-up: ${text}\n`)

function installPackages() {
  const hash = createHash('sha256')
    .update(readFileSync(join(root, 'package-lock.json')))
    .digest('hex')
  const stamp = join(root, 'node_modules', '.clatterbench-lock')
  if (existsSync(stamp) && readFileSync(stamp, 'utf8') === hash) return
  say('installing the packages of package-lock.json')
  execFileSync('npm', ['ci', '--no-audit', '--no-fund'], { cwd: root, stdio: ['ignore', 'inherit', 'inherit'] })
  writeFileSync(stamp, hash)
}

const answers = (path) => spawnSync(path, ['--version'], { encoding: 'utf8', timeout: 20_000 }).status === 0

function findBrowser() {
  const names = ['chromium', 'chromium-browser', 'google-chrome', 'google-chrome-stable', 'chrome']
  return [process.env.CHROME_PATH, ...names].find((name) => name && answers(name))
}

/** Debian's package when we may install it; anything else is left to the person, and the browser tests say they were skipped. */
function installBrowser() {
  if (process.getuid?.() !== 0 || !existsSync('/usr/bin/apt-get')) return undefined
  say('installing chromium for the browser tests')
  const apt = (...words) =>
    spawnSync('apt-get', ['-o', 'DPkg::Lock::Timeout=300', ...words], {
      stdio: ['ignore', 'ignore', 'inherit'],
      env: { ...process.env, DEBIAN_FRONTEND: 'noninteractive' },
    })
  apt('update')
  apt('install', '-y', '--no-install-recommends', 'chromium')
  return findBrowser()
}

installPackages()
if (process.argv[2] === 'browser') {
  const note = join(root, '.cache', 'browser')
  const browser = findBrowser() ?? installBrowser()
  mkdirSync(dirname(note), { recursive: true })
  if (browser) writeFileSync(note, browser)
  else {
    rmSync(note, { force: true })
    say('no Chromium found (CHROME_PATH, or chromium on PATH): the browser tests will be SKIPPED')
  }
}
