/**
 * What the Room page does when capture fails, in a real Chromium on steady noise from its fake device.
 *
 * What the fake device cannot do (be unplugged, mute itself, run at another rate, let the clock stand) is done at the page's own
 * seam with the browser: `getUserMedia`, `enumerateDevices` and `AudioContext` are wrapped before the page starts, and each such
 * test says so. A loss of blocks cannot be made on demand: tests/unit/hostworklets.test.ts leaves quanta out. What is said
 * of levels, holes, silence and overload: capturesound.test.ts.
 */
import { mkdtempSync, rmSync, writeFileSync } from 'node:fs'
import { tmpdir } from 'node:os'
import { join } from 'node:path'
import type { Browser, Page } from 'playwright-core'
import { afterAll, beforeAll, describe, expect, it } from 'vitest'
import { randomStream } from '../../src/core/maths/random.ts'
import { browserPath, launchBrowser, openPage, type Site, servePages } from './browser.ts'
import { fakeInput, pcm16, seriousFaults, smallTargets } from './fakeinput.ts'

const rateHz = 48_000
/** Of a full-scale sine, as the meter has it. */
const levelDb = -20
function white(seconds: number, gain: number): Float32Array {
  const target = new Float64Array(Math.round(seconds * rateHz))
  randomStream(7, 'capture').fillGaussian(target)
  return Float32Array.from(target, (value) => Math.max(-1, Math.min(1, gain * value)))
}

const rmsOf = (db: number): number => 10 ** (db / 20) / Math.SQRT2

/** The wrapped browser: what the page asked of it, and what a test may do to it. */
interface Seam {
  asks: number
  readonly contexts: AudioContext[]
  readonly streams: MediaStream[]
  /** Set: the rate every context runs at. */
  rateHz: number | undefined
  /** Set: the name of the error that is answered to whoever asks for a device, or for an exact one only. */
  refuse: string | undefined
  refuseExact: string | undefined
  locks: number
  released: number
}

function wrapBrowser(): void {
  const seam: Seam = {
    asks: 0,
    contexts: [],
    streams: [],
    rateHz: undefined,
    refuse: undefined,
    refuseExact: undefined,
    locks: 0,
    released: 0,
  }
  Object.assign(window, { seam })
  window.AudioContext = class extends AudioContext {
    constructor(options: AudioContextOptions = {}) {
      super(seam.rateHz === undefined ? options : { ...options, sampleRate: seam.rateHz })
      seam.contexts.push(this)
    }
  }
  const { mediaDevices } = navigator
  const ask = mediaDevices.getUserMedia.bind(mediaDevices)
  mediaDevices.getUserMedia = async (wish) => {
    seam.asks++
    const exact = JSON.stringify(wish).includes('exact')
    const name = exact ? (seam.refuseExact ?? seam.refuse) : seam.refuse
    if (name !== undefined) throw new DOMException('', name)
    const stream = await ask(wish)
    seam.streams.push(stream)
    return stream
  }
  const request = async () => {
    seam.locks++
    return {
      released: false,
      async release() {
        seam.released++
      },
    }
  }
  Object.defineProperty(navigator, 'wakeLock', { value: { request } })
}

declare global {
  interface Window {
    seam: Seam
  }
}

const view = { viewport: { width: 1280, height: 800 } }
/** For a machine with other work to do: no limit here says how fast the page is. */
const patient = { timeout: 60_000 }

async function openInput(page: Page): Promise<void> {
  await page.getByRole('button', { name: 'I have seen to it' }).click(patient)
  await page.getByRole('button', { name: 'Open the input' }).click(patient)
}

const damp = (page: Page) => page.getByText('Damp all strings').waitFor(patient)
const alertOf = (page: Page, words: string) => page.getByRole('alert').getByText(words)
const levelWords = (page: Page, name: string): Promise<string | null> =>
  page.locator(`[data-level="${name}"]`).textContent()

describe.skipIf(browserPath === null)('capture on the Room page', () => {
  let site: Site
  let folder: string

  /** A browser of its own: the file is a flag. */
  async function hearing(name: string, samples: Float32Array, loop: boolean): Promise<Browser> {
    const path = join(folder, `${name}.wav`)
    writeFileSync(path, pcm16(samples))
    return launchBrowser(fakeInput(path, loop))
  }

  /** A page whose browser is wrapped. */
  const seamed = (browser: Browser, prepare: (page: Page) => Promise<void> = async () => {}) =>
    openPage(browser, site, '#/room', view, async (page) => {
      await page.addInitScript(wrapBrowser)
      await prepare(page)
    })

  beforeAll(async () => {
    folder = mkdtempSync(join(tmpdir(), 'capture-'))
    site = await servePages()
  })

  afterAll(async () => {
    await site?.close()
    rmSync(folder, { recursive: true, force: true })
  })

  it('pauses, says why, and goes on by one button: paused, frozen, ended, unlisted, muted (at the seam)', async () => {
    const browser = await hearing('steady', white(4, rmsOf(levelDb)), true)
    try {
      const { page, problems } = await seamed(browser)
      await openInput(page)
      await damp(page)
      expect(await page.evaluate(() => window.seam.locks)).toBe(1)
      // As with the capitals locked.
      await page.keyboard.press('K')
      await page.getByText(/^The last \d+ s are kept/).waitFor({ state: 'attached', ...patient })

      await page.evaluate(() => window.seam.contexts.at(-1)?.suspend())
      await alertOf(page, 'The browser has paused the sound').waitFor(patient)
      await page.getByText('Open the input').first().waitFor(patient)
      expect(await seriousFaults(page)).toEqual([])
      expect(await smallTargets(page)).toEqual([])
      await page.getByRole('button', { name: 'Resume' }).click()
      await damp(page)
      expect(await page.evaluate(() => window.seam.contexts.length)).toBe(1)

      // A clock that stands although the context says that it runs, and stays so: everything is made anew.
      await page.evaluate(() => {
        const context = window.seam.contexts.at(-1) as AudioContext
        const { currentTime } = context
        Object.defineProperty(context, 'currentTime', { get: () => currentTime })
      })
      await alertOf(page, 'stood still for a second').waitFor(patient)
      await page.getByRole('button', { name: 'Resume' }).click()
      await damp(page)
      expect(await page.evaluate(() => window.seam.contexts.map(({ state }) => state))).toEqual(['closed', 'running'])

      // Stopping a track fires no event: the page must look by itself.
      await page.evaluate(() => window.seam.streams.at(-1)?.getAudioTracks()[0].stop())
      await alertOf(page, 'The input is gone').waitFor(patient)
      await page.getByRole('button', { name: 'Reconnect' }).click()
      await damp(page)

      await page.evaluate(() => {
        const { mediaDevices } = navigator
        const list = mediaDevices.enumerateDevices.bind(mediaDevices)
        mediaDevices.enumerateDevices = async () => {
          mediaDevices.enumerateDevices = list
          return []
        }
        mediaDevices.dispatchEvent(new Event('devicechange'))
      })
      await alertOf(page, 'The input is gone').waitFor(patient)
      await page.evaluate(() => navigator.mediaDevices.dispatchEvent(new Event('devicechange')))
      await alertOf(page, 'The input is gone').waitFor({ state: 'hidden', ...patient })
      await damp(page)

      await page.evaluate(() => {
        const track = window.seam.streams.at(-1)?.getAudioTracks()[0] as MediaStreamTrack
        Object.defineProperty(track, 'muted', { get: () => true })
        track.dispatchEvent(new Event('mute'))
      })
      await alertOf(page, 'The system has muted this input').waitFor(patient)
      await page.getByRole('button', { name: 'Reconnect' }).click()
      await damp(page)
      // All of it was one take, and what was kept first is still there.
      await page.getByText(/noise and 0 plucks/).waitFor(patient)

      const before = await levelWords(page, 'lost')
      await stopThread(page, 6)
      await expect.poll(() => levelWords(page, 'rms'), patient).toMatch(/RMS −(19|20|21)/)
      expect(await levelWords(page, 'lost')).toBe(before)

      await page.evaluate(() => {
        location.hash = '#/about'
      })
      await expect.poll(() => page.evaluate(() => [window.seam.locks, window.seam.released]), patient).toEqual([4, 4])
      expect(problems).toEqual([])
    } finally {
      await browser.close()
    }
  }, 240_000)

  it('asks once and never again by itself, takes the default loudly, tells a low rate (at the seam)', async () => {
    const browser = await hearing('asking', white(4, rmsOf(levelDb)), true)
    try {
      const { page, problems } = await seamed(browser)
      await page.evaluate(() => {
        window.seam.refuse = 'NotAllowedError'
      })
      await openInput(page)
      await alertOf(page, 'allow the microphone').waitFor(patient)
      // Longer than any watch of the page waits.
      await page.waitForTimeout(3500)
      expect(await page.evaluate(() => window.seam.asks)).toBe(1)

      await page.evaluate(() => {
        window.seam.refuse = undefined
        window.seam.rateHz = 16_000
      })
      await page.getByRole('button', { name: 'Open the input' }).click()
      await damp(page)
      await page.getByText('16000 Hz is a low rate').waitFor(patient)
      await page.locator('.room-input', { hasText: '16\u202f000 Hz' }).waitFor(patient)

      await page.evaluate(() => {
        window.seam.rateHz = undefined
        window.seam.refuseExact = 'OverconstrainedError'
      })
      await page.getByRole('button', { name: /^Input/ }).click()
      await page.getByText('Fake Audio Input 2').click()
      await page
        .getByText(/"Fake Audio Input 2" is not heard: no such input is there.*default input is heard/)
        .waitFor(patient)
      await damp(page)
      expect(problems).toEqual([])
    } finally {
      await browser.close()
    }
  }, 240_000)

  it('hears the same without shared memory, and keeps a take in memory and offers it as a file where the disk is full', async () => {
    const browser = await hearing('unshared', white(4, rmsOf(levelDb)), true)
    try {
      const { page, problems } = await seamed(browser, async (own) => {
        // The server's two isolation headers are taken away on the road.
        await own.route('**/*', async (route) => {
          const response = await route.fetch()
          const headers = { ...response.headers() }
          delete headers['cross-origin-opener-policy']
          delete headers['cross-origin-embedder-policy']
          await route.fulfill({ response, headers })
        })
        const session = await own.context().newCDPSession(own)
        // Eight seconds of noise are 1.4 MB and more.
        await session.send('Storage.overrideQuotaForOrigin', { origin: site.url.slice(0, -1), quotaSize: 500_000 })
      })
      expect(await page.evaluate(() => globalThis.crossOriginIsolated)).toBe(false)
      await openInput(page)
      await damp(page)
      await page.getByText('no shared memory (same results)').waitFor(patient)
      await expect.poll(() => levelWords(page, 'rms'), patient).toMatch(/RMS −(19|20|21)/)
      const full = alertOf(page, 'The browser has no room left')
      for (let tries = 0; tries < 3 && !(await full.isVisible()); tries++) {
        await page.getByRole('button', { name: /^Take the noise/ }).click()
        await full.or(page.getByText('Sound was lost on the way')).first().waitFor(patient)
      }
      await full.waitFor(patient)
      await page.getByText('Pluck E2').waitFor(patient)
      const download = page.waitForEvent('download')
      await page.getByRole('button', { name: 'Save as a file' }).click()
      expect((await download).suggestedFilename()).toMatch(/^take-.*\.zip$/)
      expect(problems).toEqual([])
    } finally {
      await browser.close()
    }
  }, 240_000)
})

/** A hidden or busy page at its worst: its thread stands still, longer than the ring holds (4 s). A tab that is hidden: hidden.test.ts. */
async function stopThread(page: Page, seconds: number): Promise<void> {
  const session = await page.context().newCDPSession(page)
  await session.send('Debugger.enable')
  await session.send('Debugger.pause')
  await new Promise((resolve) => setTimeout(resolve, 1000 * seconds))
  await session.send('Debugger.resume')
  await session.detach()
}
