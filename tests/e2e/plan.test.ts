/**
 * The Plan page in a real Chromium, on a study small enough to be recorded here: a plan from plucks that the page computes itself, the
 * same card from the same link, questions answered while a person waits, a card of one page.
 */
import { AxeBuilder } from '@axe-core/playwright'
import type { Browser, Page } from 'playwright-core'
import { afterAll, beforeAll, describe, expect, it } from 'vitest'
import { firstChoices } from '../../src/app/plan/choices.ts'
import { planCode } from '../../src/app/plan/link.ts'
import { roomById } from '../../src/core/study/presets.ts'
import { browserPath, launchBrowser, type OpenedPage, openPage, type Site, servePages } from './browser.ts'

const wide = { viewport: { width: 1280, height: 800 } }

async function seriousOn(page: Page): Promise<string[]> {
  const { violations } = await new AxeBuilder({ page }).analyze()
  return violations
    .filter(({ impact }) => impact === 'serious' || impact === 'critical')
    .map(({ id, nodes }) => `${id}: ${nodes.map((node) => node.html).join(' ')}`)
}

const recorded = (page: Page): Promise<void> => page.getByText('plucks of every string at').first().waitFor()

/** Sheets of a PDF, by its page tree: every leaf is a /Type /Page. */
const sheetsOf = (pdf: Buffer): number => pdf.toString('latin1').match(/\/Type\s*\/Page\b/g)?.length ?? 0

/** Width of the first sheet in points of 1/72 inch. */
const widthOf = (pdf: Buffer): number => Number(/\/MediaBox\s*\[0 0 ([\d.]+)/.exec(pdf.toString('latin1'))?.[1])

describe.skipIf(browserPath === null)('the Plan page', () => {
  let browser: Browser
  let site: Site
  let opened: OpenedPage
  let hash = ''

  beforeAll(async () => {
    site = await servePages()
    browser = await launchBrowser()
    const plan = await planCode({
      ...firstChoices,
      ...{ room: roomById('white'), snrsDb: [15], snrDb: 15, repeats: 5, withinCents: 5 },
      methods: ['yin', 'partial-fit'].map((id) => ({ id, values: {} })),
    })
    hash = `#/plan?plan=${plan}`
    opened = await openPage(browser, site, hash, wide)
  })
  afterAll(async () => {
    await opened?.close()
    await browser?.close()
    await site?.close()
  })

  it('plans from the plucks it computes, and says how few they are', async () => {
    const { page } = opened
    await page.locator('.plan-steps').waitFor()
    expect(await page.locator('.plan-number').count()).toBe(5)
    await recorded(page)
    await page.locator('.plan-lacking', { hasText: 'n = 5 of 50: 45 more' }).waitFor()
    await page.locator('summary', { hasText: 'Records' }).click()
    expect(await page.getByRole('textbox', { name: 'Plucks each' }).inputValue()).toBe('5')
    expect(await seriousOn(page)).toEqual([])
    await page.locator('summary', { hasText: 'Records' }).click()
  })

  it('answers what if within a second', async () => {
    const { page } = opened
    const tookMs: number[] = []
    for (const name of ['a slower hand', 'no second pass', 'a floating bridge']) {
      await page.getByRole('button', { name, exact: true }).click()
      const line = page.locator('.plan-difference', { hasText: name }).getByText(/worked out in/)
      tookMs.push(Number(/in (\d+) ms/.exec((await line.textContent()) ?? '')?.[1]))
      await page.getByRole('button', { name, exact: true }).click()
      await page.locator('.plan-difference').waitFor({ state: 'detached' })
    }
    // The quickest of three: what else the machine does is not the page's.
    expect(Math.min(...tookMs)).toBeLessThan(1000)
  })

  it('prints one page, A6 and A4', async () => {
    const { page } = opened
    await page.getByRole('button', { name: 'Show the card' }).click()
    expect(await seriousOn(page)).toEqual([])
    const pdfs: Buffer[] = []
    for (const paper of ['A6', 'A4']) {
      await page.getByRole('button', { name: paper, exact: true }).click()
      pdfs.push(await page.pdf({ preferCSSPageSize: true }))
    }
    expect(pdfs.map(sheetsOf)).toEqual([1, 1])
    // ISO 216: A6 is 105 mm wide, A4 210 mm; 72 points to 25.4 mm, whole pixels of 0.75 points.
    for (const [at, widthMm] of [105, 210].entries()) {
      expect(Math.abs(widthOf(pdfs[at] as Buffer) - (widthMm * 72) / 25.4)).toBeLessThan(1)
    }
    await page.keyboard.press('Escape')
  })

  it('the same link shows the same card at once, without another pluck', async () => {
    const { page, problems } = opened
    await page.getByRole('slider').focus()
    await page.keyboard.press('ArrowLeft')
    await page.getByText('89 s').first().waitFor()
    await page.locator('.plan-answer[aria-busy="false"]').waitFor()
    await page.locator('.plan-printed', { hasText: '89 s' }).waitFor({ state: 'attached' })
    const before = await page.locator('.plan-printed').textContent()
    const url = page.url()
    const other = await page.context().newPage()
    await other.goto(url)
    await other.locator('.plan-steps').waitFor()
    await recorded(other)
    expect(await other.locator('.plan-printed').textContent()).toBe(before)
    await other.close()
    expect(problems).toEqual([])
  })
})
