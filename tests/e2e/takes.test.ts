/**
 * Room takes on a real browser's disk: they outlive a tab that is killed, and a disk that is full loses nothing of what was
 * taken. What was written is compared sample by sample with the seed it came from.
 */
import type { Browser } from 'playwright-core'
import { afterAll, beforeAll, describe, expect, it } from 'vitest'
import { browserPath, launchBrowser, type Site, serveHarness } from './browser.ts'

describe.skipIf(browserPath === null)('room takes kept', () => {
  let browser: Browser
  let site: Site

  beforeAll(async () => {
    ;[browser, site] = await Promise.all([launchBrowser(), serveHarness()])
  }, 60_000)
  afterAll(async () => {
    await browser?.close()
    await site?.close()
  })

  it('outlive a killed tab', async () => {
    const context = await browser.newContext()
    const page = await context.newPage()
    await page.goto(site.url)
    const { id, answers } = await page.evaluate(() => window.harness.takes.keepTake(2, 1))
    expect(answers).toEqual(['kept', 'kept', 'kept'])
    const crashed = page.waitForEvent('crash')
    const session = await context.newCDPSession(page)
    void session.send('Page.crash').catch(() => undefined)
    await crashed
    const again = await context.newPage()
    await again.goto(site.url)
    expect(await again.evaluate(() => window.harness.takes.keptIds())).toEqual([id])
    const parts = await again.evaluate((take) => window.harness.takes.wholeParts(take, true), id)
    expect(parts).toEqual(['noise', 'pluck-1', 'pluck-2'])
    await context.close()
  }, 30_000)

  it('stay in memory where the disk is full', async () => {
    const context = await browser.newContext()
    const page = await context.newPage()
    await page.goto(site.url)
    const session = await context.newCDPSession(page)
    // A part of one second is 192 kB: the first fits, four do not.
    await session.send('Storage.overrideQuotaForOrigin', { origin: site.url.slice(0, -1), quotaSize: 500_000 })
    const { id, answers, unkept } = await page.evaluate(() => window.harness.takes.keepTake(4, 1))
    expect(answers[0]).toBe('kept')
    expect(answers.at(-1)).toBe('full')
    expect(unkept).toEqual([id])
    const parts = await page.evaluate((take) => window.harness.takes.wholeParts(take, false), id)
    expect(parts).toEqual(['noise', 'pluck-1', 'pluck-2', 'pluck-3', 'pluck-4'])
    await context.close()
  }, 30_000)
})
