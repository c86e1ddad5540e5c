/**
 * All own methods live for a minute in Chromium, with and without shared memory, while a canvas draws their readings at
 * every frame: what is lost, and what page and worker have to compute. Writes tests/bench/live.md.
 *
 * `node tests/bench/live.mjs [SECONDS]` from a checkout; wanted: nothing lost, the page's thread under 30 % busy, all
 * methods together under a quarter of one core. Shares of a core are by the clock: other programs' share is inside.
 */
import { execFileSync } from 'node:child_process'
import { writeFileSync } from 'node:fs'
import { cpus, loadavg, platform } from 'node:os'
import { fileURLToPath } from 'node:url'
import { runnerImport } from 'vite'

const here = (path) => fileURLToPath(new URL(path, import.meta.url))
const seconds = Number(process.argv[2] ?? 60)
if (!(seconds > 0)) {
  console.error('usage: node tests/bench/live.mjs [SECONDS]')
  process.exit(2)
}
const config = { configFile: false, logLevel: 'error' }
const { module: browsers } = await runnerImport(here('../e2e/browser.ts'), config)
const { module: runs } = await runnerImport(here('../e2e/liverun.ts'), config)

const percent = (share) => `${(100 * share).toFixed(1)} %`
const git = (...words) => execFileSync('git', words, { cwd: here('../..'), encoding: 'utf8' }).trim()
const changed = git('status', '--porcelain', 'src', 'worklets') === '' ? '' : ' with changes not committed'
const commit = `${git('rev-parse', '--short', 'HEAD')}${changed}`

async function measured(shared) {
  const site = await browsers.serveHarness(shared)
  const browser = await browsers.launchBrowser()
  try {
    const { page, problems } = await browsers.openPage(browser, site)
    const chosen = runs.ownIds.map((id) => ({ id, values: {} }))
    const run = { sceneJson: runs.liveScene, chosen, stream: runs.liveStream, shared, thin: true, seconds, keptS: 0 }
    const before = loadavg()[0]
    const heard = await runs.measuredLive(browser, page, run)
    const loads = [before, loadavg()[0]]
    return { ...heard, loads, problems: [...heard.problems, ...problems], engine: browser.version() }
  } finally {
    await browser.close()
    await site.close()
  }
}

const results = [await measured(true), await measured(false)]
const [withMemory, posted] = results
const rows = [
  ['listened, s', (one) => one.elapsedS.toFixed(1)],
  ['blocks of 128 samples heard', (one) => one.status.heardSamples / 128],
  ['blocks lost', (one) => one.status.lostSamples / 128],
  ['blocks skipped around a loss', (one) => one.status.skippedSamples / 128],
  ['all methods together: what the worker computed, of a core', (one) => percent(one.workerComputed)],
  ['the same by the clock, other programs inside', (one) => percent(one.loadMean)],
  ["page's thread in tasks, by the clock", (one) => percent(one.pageBusy)],
  ["page's thread computing", (one) => percent(one.pageComputed)],
  ["page's process in all (page, worker, audio)", (one) => percent(one.processBusy)],
  ['frames drawn a second', (one) => (one.frames / one.elapsedS).toFixed(1)],
  [
    'tasks of 50 ms and more on the page (longest, ms)',
    (one) => `${one.longTasksMs.length} (${Math.max(0, ...one.longTasksMs).toFixed(0)})`,
  ],
  ['methods thinned', (one) => one.status.methods.filter(({ skippedHops }) => skippedHops > 0).length],
  ['methods dropped, problems', (one) => one.dropped.length + one.problems.length],
  ['load average of the machine, before and after', (one) => one.loads.map((load) => load.toFixed(1)).join(', ')],
]
const hopS = 512 / 48_000
const methodRow = (method, slot) => {
  const other = posted.status.methods[slot]
  const share = ({ busyUs }) => percent(busyUs / 1e6 / hopS)
  return `| ${method.id} | ${method.busyUs.toFixed(0)} | ${share(method)} | ${other.busyUs.toFixed(0)} | ${share(other)} | ${method.skippedHops}, ${other.skippedHops} |`
}
for (const one of results) {
  const busyS = one.status.methods.reduce((sum, { busyUs, hops }) => sum + (busyUs * hops) / 1e6, 0)
  one.loadMean = busyS / one.elapsedS
}
const text = `# All own methods live, side by side

\`node tests/bench/live.mjs ${seconds}\`, ${new Date().toISOString().slice(0, 10)}, commit ${commit}. Chromium ${withMemory.engine} (headless, no graphics card), ${platform()} on
${cpus().length} cores of an ${cpus()[0].model}, shared with other programs. ${withMemory.status.methods.length} methods at their defaults (window 4096, hop 512) at
${withMemory.sampleRateHz / 1000} kHz, on a take that a worklet plays again and again (string at 110 Hz plucked every 3 s, pink noise at 15 dB); aimed methods
are told 110 Hz. A canvas of 1200 x 800 draws every method's newest reading, last five and steady word at every frame.

| | wanted | shared memory | posted blocks |
|---|---|---|---|
${rows.map(([title, figure]) => `| ${title} | ${title === 'blocks lost' ? '0' : title.startsWith('all methods') ? '< 25 %' : title.startsWith("page's thread") ? '< 30 %' : ''} | ${figure(withMemory)} | ${figure(posted)} |`).join('\n')}

Computing a reading, us by the clock (other programs' share is inside; without shared memory the browser's clock has steps of
0.1 ms, right in the mean), and the share of one core that is at one reading every 10.7 ms:

| method | us, shared memory | share | us, posted blocks | share | hops left out |
|---|---|---|---|---|---|
${withMemory.status.methods.map(methodRow).join('\n')}
`
writeFileSync(here('live.md'), text)
process.stdout.write(text)
if (results.some((one) => one.problems.length > 0)) console.error(results.flatMap((one) => one.problems).join('\n'))
