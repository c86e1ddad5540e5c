/**
 * A long evening in short: the Room page's input, both its workers and its live picture with every own method, on Chromium's
 * fake device in real time. What is lost, how the heaps grow, how often the picture is drawn. Written to soak.md.
 *
 * Halfway the page's thread is stopped for a minute. Wanted: nothing lost, and heaps that grow by less than
 * 5 MB from the end of the warm-up to the end, all together, after a forced collection.
 */
import { execFileSync } from 'node:child_process'
import { mkdtempSync, rmSync, writeFileSync } from 'node:fs'
import { cpus, loadavg, platform, tmpdir } from 'node:os'
import { join } from 'node:path'
import { fileURLToPath } from 'node:url'
import type { Page } from 'playwright-core'
import { parseScene } from '../../src/core/scene/parse.ts'
import { render } from '../../src/core/scene/render.ts'
import { launchBrowser, openPage, serveFolder } from '../e2e/browser.ts'
import { fakeInput, pcm16 } from '../e2e/fakeinput.ts'
import { liveScene, liveStream, ownIds } from '../e2e/liverun.ts'
import { type Heap, watchHeaps } from './soak/heaps.ts'
import type { Look } from './soak/page.ts'

const here = (path: string) => fileURLToPath(new URL(path, import.meta.url))
/** Snapshots hold 20 s: nothing heard goes by between two looks. */
const lookMs = 10_000
/** Caches, compiled code and the live history are there by then. */
const warmUpS = 120
const stoppedS = 60
const mostGrowthMb = 5

interface Soaked {
  readonly engine: string
  readonly rateHz: number
  readonly looks: readonly Look[]
  readonly early: readonly Heap[]
  readonly late: readonly Heap[]
  readonly loads: readonly number[]
  readonly stoppedS: number
  readonly problems: readonly string[]
}

const pause = (ms: number) => new Promise((resolve) => setTimeout(resolve, ms))

/** The string that is plucked every three seconds in noise, at half of full scale. */
function heardSamples(): Float32Array {
  const { take } = render(parseScene(liveScene), new Map())
  const peak = take.samples.reduce((most, sample) => Math.max(most, Math.abs(sample)), 0)
  return take.samples.map((sample) => (0.5 / peak) * sample)
}

/**
 * Stops the page's thread for a while, workers and sound going on. A headless browser shows every tab, so none can be hidden; a
 * thread that stands still is the harder case, for a hidden tab's timers go on once a second.
 */
async function stoppedFor(page: Page, seconds: number): Promise<void> {
  const session = await page.context().newCDPSession(page)
  await session.send('Debugger.enable')
  await session.send('Debugger.pause')
  await pause(1000 * seconds)
  await session.send('Debugger.resume')
  await session.detach()
}

async function soaked(totalS: number, folder: string): Promise<Soaked> {
  const path = join(folder, 'soak.wav')
  writeFileSync(path, pcm16(heardSamples()))
  const site = await serveFolder('tests/bench/soak')
  const browser = await launchBrowser(fakeInput(path, true))
  try {
    const { page, problems } = await openPage(browser, site, '', { viewport: { width: 1280, height: 800 } })
    const heaps = await watchHeaps(page)
    const open = { methods: ownIds, targetHz: liveStream.targetHz }
    const rateHz = await page.evaluate((wish) => window.soak.open(wish.methods, wish.targetHz), open)
    const looks: Look[] = []
    const loads: number[] = []
    let early: Heap[] = []
    let stopped = false
    const standsS = Math.min(stoppedS, totalS / 8)
    const fromMs = Date.now()
    const pastS = () => (Date.now() - fromMs) / 1000
    while (pastS() < totalS) {
      await pause(lookMs)
      const look = await page.evaluate(() => window.soak.look())
      looks.push(look)
      loads.push(loadavg()[0] ?? Number.NaN)
      process.stderr.write(
        `\r${pastS().toFixed(0)} of ${totalS} s, lost ${look.status?.lostSamples}, holes ${look.holeSamples} `,
      )
      if (early.length === 0 && pastS() >= Math.min(warmUpS, totalS / 4)) early = await heaps.collected()
      if (!stopped && pastS() >= totalS / 2) {
        stopped = true
        await stoppedFor(page, standsS)
      }
    }
    process.stderr.write('\n')
    const late = await heaps.collected()
    const told = [...problems, ...(looks.at(-1)?.problems ?? [])]
    return { engine: browser.version(), rateHz, looks, early, late, loads, stoppedS: standsS, problems: told }
  } finally {
    await browser.close()
    await site.close()
  }
}

/** Frames a second between looks. */
function framesPerS(looks: readonly Look[]): number[] {
  return looks.flatMap((look, at) => {
    const before = looks[at - 1]
    if (before === undefined) return []
    const seconds = (look.atMs - before.atMs) / 1000
    // The stop lies between two looks.
    return seconds > (3 * lookMs) / 1000 ? [] : [(look.frames - before.frames) / seconds]
  })
}

const mb = (heaps: readonly Heap[]): number => heaps.reduce((sum, { usedBytes }) => sum + usedBytes, 0) / 1e6

function report(minutes: number, result: Soaked): { text: string; passed: boolean } {
  const { engine, rateHz, looks, early, late, loads, stoppedS: standsS, problems } = result
  const last = looks.at(-1)
  const first = looks[0]
  const status = last?.status ?? null
  if (last === undefined || first === undefined || status === null) throw new Error('the page told nothing')
  const fps = framesPerS(looks).sort((a, b) => a - b)
  const growthMb = mb(late) - mb(early)
  const hearingLost = last.hearingLost - first.hearingLost
  const lost = status.lostSamples - (first.status?.lostSamples ?? 0)
  const holes = last.holeSamples - first.holeSamples
  const passed = lost === 0 && hearingLost === 0 && growthMb < mostGrowthMb && problems.length === 0
  const git = (...words: string[]) => execFileSync('git', words, { cwd: here('../..'), encoding: 'utf8' }).trim()
  const names = late.map(({ name }, at) => ({ name, before: early[at]?.usedBytes ?? Number.NaN, at }))
  const thinned = status.methods.filter(({ skippedHops }) => skippedHops > 0).map(({ id }) => id)
  const sorted = [...loads].sort((a, b) => a - b)
  const text = `# The Room page's live picture for ${minutes} minutes

\`npm run soak -- --minutes ${minutes}\`, ${new Date().toISOString().slice(0, 10)}, commit ${git('rev-parse', '--short', 'HEAD')}${git('status', '--porcelain', 'src', 'worklets') === '' ? '' : ' with changes not committed'}. Chromium ${engine} (headless, no graphics card), ${platform()} on
${cpus().length} cores of an ${cpus()[0]?.model ?? 'unknown processor'}, shared with other programs: load ${sorted[0]?.toFixed(1)} to ${sorted.at(-1)?.toFixed(1)}, median ${sorted[Math.floor(sorted.length / 2)]?.toFixed(1)}. Own methods
${status.methods.length}, at ${rateHz} Hz, on the fake device in real time: a string at ${liveStream.targetHz} Hz plucked every 3 s, pink noise 15 dB under it.
Counted from the first look, ${(lookMs / 1000).toFixed(0)} s after the input was opened: sound is often lost while it opens.

| | wanted | found |
|---|---|---|
| listened, s | ${60 * minutes} | ${((last.atMs - first.atMs) / 1000).toFixed(0)} |
| samples the methods heard | | ${status.heardSamples} |
| samples lost on the way to the methods | 0 | ${lost} |
| samples lost on the way to the guide | 0 | ${hearingLost} |
| samples in holes of 15 ms and more that the browser filled itself | | ${holes} |
| samples not looked at for holes | | ${last.unseenSamples} |
| heaps after a forced collection, warm | | ${mb(early).toFixed(2)} MB |
| heaps after a forced collection, at the end | | ${mb(late).toFixed(2)} MB |
| growth | < ${mostGrowthMb} MB | ${growthMb.toFixed(2)} MB |
| frames drawn a second, the stop left out: least, median of ${fps.length} looks | 60 | ${fps[0]?.toFixed(1)}, ${fps[Math.floor(fps.length / 2)]?.toFixed(1)} |
| page's thread stopped halfway by the debugger | ${stoppedS} s | ${standsS.toFixed(0)} s |
| methods together, of a core, at the end | | ${(100 * status.load).toFixed(0)} % |
| methods thinned for want of a core | | ${thinned.length === 0 ? 'none' : thinned.join(', ')} |
| problems told | none | ${problems.length === 0 ? 'none' : problems.join('; ')} |

| heap | warm, MB | at the end, MB |
|---|---|---|
${names.map(({ name, before, at }) => `| ${name} | ${(before / 1e6).toFixed(2)} | ${((late[at]?.usedBytes ?? Number.NaN) / 1e6).toFixed(2)} |`).join('\n')}

A heap is JavaScript objects, what of the browser they hold, and array buffers. ${passed ? 'Wanted and found agree.' : 'Not met: see wanted and found.'}
`
  return { text, passed }
}

/** Writes soak.md beside this file; false: something that is wanted was not found. */
export async function soak(minutes: number): Promise<boolean> {
  const folder = mkdtempSync(join(tmpdir(), 'soak-'))
  try {
    const { text, passed } = report(minutes, await soaked(60 * minutes, folder))
    writeFileSync(here('soak.md'), text)
    process.stdout.write(text)
    return passed
  } finally {
    rmSync(folder, { recursive: true, force: true })
  }
}
