/** The Drill in a real Chromium: its worklet gives Node's samples, and a person plays the first exercise by keys alone. */
import AxeBuilder from '@axe-core/playwright'
import type { Browser, BrowserContext, Page } from 'playwright-core'
import { afterAll, afterEach, beforeAll, beforeEach, describe, expect, it } from 'vitest'
import { parseExercise } from '../../src/core/drill/exercise.ts'
import { exerciseById } from '../../src/core/drill/exercises.ts'
import { exerciseCode, writtenExercise } from '../../src/core/drill/link.ts'
import { type LiveCommand, LivePlucks } from '../../src/core/drill/liveplucks.ts'
import { Session } from '../../src/core/drill/session.ts'
import { soundingOf } from '../../src/core/drill/sounding.ts'
import { browserPath, launchBrowser, openPage, type Site, serveHarness, servePages } from './browser.ts'
import { steadyReading } from './drillreading.ts'

const first = exerciseById('quiet-fine')
const seed = 7

describe.skipIf(browserPath === null)('the drill', () => {
  let browser: Browser

  beforeAll(async () => {
    browser = await launchBrowser()
  })

  afterAll(async () => {
    await browser?.close()
  })

  it('sounds in the worklet as it does in Node, sample by sample, through plucks, turns and a muting hand', async () => {
    const site = await serveHarness()
    const { page, problems, close } = await openPage(browser, site)
    const sampleRateHz = 48_000
    const { strings, homeHz } = soundingOf(first, seed, sampleRateHz)
    const [f1Hz] = homeHz as [number]
    const commands: LiveCommand[] = [
      { kind: 'pluck', string: 0, f1Hz: f1Hz * 0.99, seed: 3, atSample: 100 },
      ...Array.from(
        { length: 30 },
        (_, i): LiveCommand => ({
          ...{ kind: 'f1', f1Hz: f1Hz * (0.99 + 0.0004 * i), atSample: 9000 + 500 * i },
        }),
      ),
      { kind: 'pluck', string: 0, f1Hz, seed: 4, atSample: 30_001 },
      { kind: 'damp', atSample: 60_000 },
    ]
    const room = Array.from({ length: 5000 }, (_, i) => 0.001 * ((i * 37) % 11))
    const run = { setup: { strings, room, roomGain: 1 }, commands, sampleRateHz, samples: 1.5 * sampleRateHz }
    const heard = await page.evaluate((given) => window.harness.drillString(given), run)
    const live = new LivePlucks({ sampleRateHz, strings, room: Float32Array.from(room), roomGain: 1 })
    for (const command of commands) live.obey(command)
    const own = new Float32Array(run.samples)
    live.fill(own)
    expect(heard.problems).toEqual([])
    expect(own.some((value) => Math.abs(value) > 0.01)).toBe(true)
    expect(own.findIndex((value, i) => value !== heard.samples[i])).toBe(-1)
    expect(problems).toEqual([])
    await close()
    await site.close()
  })

  describe('the page', () => {
    let site: Site
    let context: BrowserContext
    let page: Page
    let problems: string[]

    beforeAll(async () => {
      site = await servePages()
    })

    afterAll(async () => {
      await site?.close()
    })

    beforeEach(async () => {
      problems = []
      context = await browser.newContext({ viewport: { width: 1280, height: 800 } })
      page = await context.newPage()
      page.on('pageerror', (error) => problems.push(error.message))
    })

    afterEach(async () => {
      await context.close()
      expect(problems).toEqual([])
    })

    const scoreText = async (): Promise<string> =>
      (await page.getByRole('region', { name: 'Score' }).textContent()) ?? ''
    const serious = async (): Promise<string[]> =>
      (await new AxeBuilder({ page }).analyze()).violations
        .filter(({ impact }) => impact === 'serious' || impact === 'critical')
        .map(({ id, nodes }) => `${id}: ${nodes.map(({ html }) => html).join(' ')}`)

    // Methods listen at the pace of sound while the best way is played beside them: on a crowded machine that takes its time.
    it('is played by keys alone: pluck, read, turn, confirm, let go, and a score that stays', {
      timeout: 120_000,
    }, async () => {
      await page.goto(`${site.url}#/drill?study=first&seed=${seed}`)
      await page.getByRole('button', { name: 'Start' }).focus()
      expect(await serious()).toEqual([])
      await page.keyboard.press('Enter')
      await page.getByRole('button', { name: 'Pluck', exact: true }).waitFor()
      const perDegree = new Session(first, seed).centsPerDegree(0)
      // Two or three rounds are enough for a hand that counts; six leave room for a slow machine.
      for (let round = 0; round < 6; round++) {
        await page.keyboard.press(' ')
        const { cents, words } = await steadyReading(page)
        if (words.startsWith('inside')) break
        expect(Math.abs(cents)).toBeLessThan(60)
        const key = cents < 0 ? 'ArrowRight' : 'ArrowLeft'
        const degrees = Math.abs(cents) / perDegree
        for (let coarse = 0; coarse < Math.floor(degrees / 2); coarse++) await page.keyboard.press(`Shift+${key}`)
        for (let fine = 0; fine < Math.round((degrees % 2) / 0.2); fine++) await page.keyboard.press(key)
      }
      // The claim is part of the log once the string says so.
      await page.keyboard.press('Enter')
      await page.locator('.drill-strings', { hasText: 'done' }).waitFor()
      await page.keyboard.press('e')
      const score = page.getByRole('region', { name: 'Score' })
      await score.waitFor()
      const told = await scoreText()
      expect(told).toContain('best way on this seed')
      expect(told).not.toContain('not done')
      const worst = Number(/worst string([\d.]+) c/.exec(told)?.[1])
      expect(worst).toBeLessThanOrEqual(first.toleranceCents)
      await page.setViewportSize({ width: 390, height: 844 })
      expect(await serious()).toEqual([])
      expect(await page.evaluate(() => document.documentElement.scrollWidth <= innerWidth)).toBe(true)

      // It is kept, and can be seen again with the same end.
      await page.reload()
      await page
        .getByRole('button', { name: /^Replay/ })
        .first()
        .click()
      await score.waitFor()
      expect(await scoreText()).toContain(/worst string[\d.]+ c/.exec(told)?.[0] ?? '')
    })

    it('opens an exercise that came as a link, says what is wrong with one that cannot be read', async () => {
      const own = parseExercise({ ...writtenExercise(first), id: 'own', title: 'Two by heart', clockS: 2 })
      await page.goto(`${site.url}#/drill?study=first&exercise=${exerciseCode(own)}`)
      await page.getByRole('heading', { name: 'Two by heart' }).waitFor()
      await page.getByRole('button', { name: 'Start' }).click()
      // The clock stops the work by itself, and says so.
      const score = page.getByRole('region', { name: 'Score' })
      await score.waitFor()
      expect(await scoreText()).toContain('The clock stopped before A2 was done')

      await page.goto(`${site.url}#/drill?study=first&exercise=2.abc`)
      await page.getByText('link: its version is "2", this page reads version 1').waitFor()
    })
  })
})
