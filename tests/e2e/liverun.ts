/**
 * A live run in Chromium measured from outside, for the test and the bench: what the page's thread and the page's process
 * computed, by the browser's own account.
 */
import { readdirSync, readFileSync } from 'node:fs'
import type { Browser, Page } from 'playwright-core'
import { methods } from '../../src/core/methods/index.ts'
import type { LiveHeard, LiveRun } from './harness/live.ts'

/** Those that stand on an outside package are not ours to make fast. */
export const ownIds: readonly string[] = methods
  .map(({ id }) => id)
  .filter((id) => id !== 'pitchy' && !id.startsWith('pitchfinder-'))

/** A string plucked every three seconds in the noise of a stage; method settings are the defaults. */
export const liveScene = {
  sampleRateHz: 48_000,
  durationS: 3,
  seed: 11,
  plucks: [{ onsetS: 0.2, firstPartialHz: 110, stiffness: 4e-5, decayS: 3, highDecayRatio: 0.5, pickRatio: 0.2 }],
  noises: [{ id: 'pink', snrDb: 15 }],
} as const

export const liveStream = { lowestHz: 30, highestHz: 1400, targetHz: 110, room: null } as const

export interface Measured extends LiveHeard {
  /** Share of the time that the page's thread was in a task, by the clock (TaskDuration): waiting for a core counts. */
  readonly pageBusy: number
  /** Share of one core that the page's thread computed (ThreadTime). */
  readonly pageComputed: number
  /** Share of one core of the page's process in all: page, live worker and audio thread. */
  readonly processBusy: number
  /** Share of one core that the live worker's thread computed, by the system's account; NaN where there is none. */
  readonly workerComputed: number
}

/** Linux counts what a thread computed in hundredths of a second; proc(5): fields 14 and 15 of stat. Elsewhere NaN. */
function workerThreadsS(pids: readonly number[]): number {
  const ticks = pids.flatMap((pid) => {
    const folder = `/proc/${pid}/task`
    return readdirSync(folder).map((thread) => {
      const stat = readFileSync(`${folder}/${thread}/stat`, 'utf8')
      const afterName = stat.slice(stat.lastIndexOf(')') + 2).split(' ')
      return stat.includes('(DedicatedWorker') ? Number(afterName[11]) + Number(afterName[12]) : 0
    })
  })
  return ticks.reduce((sum, one) => sum + one, 0) / 100
}

export async function measuredLive(browser: Browser, page: Page, run: LiveRun): Promise<Measured> {
  const session = await page.context().newCDPSession(page)
  const whole = await browser.newBrowserCDPSession()
  await session.send('Performance.enable')
  const pageS = async () => {
    const { metrics } = await session.send('Performance.getMetrics')
    const figure = (wanted: string) => metrics.find(({ name }) => name === wanted)?.value ?? Number.NaN
    return { task: figure('TaskDuration'), thread: figure('ThreadTime') }
  }
  // One page is open, but the browser may keep spare processes: those stand still.
  const processS = async () => {
    const { processInfo } = await whole.send('SystemInfo.getProcessInfo')
    const pages = processInfo.filter(({ type }) => type === 'renderer')
    return { s: pages.reduce((sum, { cpuTime }) => sum + cpuTime, 0), pids: pages.map(({ id }) => id) }
  }
  const [fromPageS, fromProcess, fromMs] = [await pageS(), await processS(), performance.now()]
  // A worker's thread is gone when the run has ended: it is looked at every half second, and counts from its start.
  let [workerFromS, workerS, workerFromMs, workerToMs] = [0, Number.NaN, Number.NaN, Number.NaN]
  const watch = setInterval(() => {
    try {
      const seconds = workerThreadsS(fromProcess.pids)
      if (!(seconds > 0)) return
      if (Number.isNaN(workerFromMs)) [workerFromMs, workerFromS] = [performance.now(), seconds]
      workerS = seconds - workerFromS
      workerToMs = performance.now()
    } catch {
      // No such account on this system, or the thread ended while it was looked at.
    }
  }, 500)
  const heard = await page.evaluate((given) => window.harness.heardLive(given), run).finally(() => clearInterval(watch))
  const tookS = (performance.now() - fromMs) / 1000
  const [toPageS, toProcess] = [await pageS(), await processS()]
  await session.detach()
  return {
    ...heard,
    pageBusy: (toPageS.task - fromPageS.task) / tookS,
    pageComputed: (toPageS.thread - fromPageS.thread) / tookS,
    processBusy: (toProcess.s - fromProcess.s) / tookS,
    workerComputed: (1000 * workerS) / (workerToMs - workerFromMs),
  }
}
