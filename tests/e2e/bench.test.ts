/**
 * The Bench page in a real Chromium: what it shows is what Node computes from the same seed, and it stays in hand while it
 * runs. One build and one browser serve all tests; each opens a context of its own, so nothing is kept between them.
 */
import { readFileSync } from 'node:fs'
import { dirname, join } from 'node:path'
import { fileURLToPath } from 'node:url'
import { AxeBuilder } from '@axe-core/playwright'
import type { Browser, Page } from 'playwright-core'
import { afterAll, beforeAll, describe, expect, it } from 'vitest'
import { pairedDifferences } from '../../src/core/score/paired.ts'
import { summarise } from '../../src/core/score/summary.ts'
import { presetStudy } from '../../src/core/study/presets.ts'
import { openStudy } from '../../src/core/study/trial.ts'
import { browserPath, launchBrowser, openPage, type Site, servePages } from './browser.ts'

const root = join(dirname(fileURLToPath(import.meta.url)), '../..')
const wide = { viewport: { width: 1280, height: 800 } }
const phone = { viewport: { width: 390, height: 844 }, hasTouch: true }

/** axe's own scale: minor, moderate, serious, critical. */
async function seriousOn(page: Page): Promise<string[]> {
  const { violations } = await new AxeBuilder({ page }).analyze()
  return violations
    .filter(({ impact }) => impact === 'serious' || impact === 'critical')
    .map(({ id, nodes }) => `${id}: ${nodes.map((node) => node.html).join(' ')}`)
}

const finished = (page: Page): Promise<unknown> =>
  page.getByText('all done').filter({ visible: true }).first().waitFor()

async function choose(page: Page, word: string): Promise<void> {
  await page.getByRole('button', { name: word, exact: true }).click()
}

describe.skipIf(browserPath === null)('the Bench page', () => {
  let browser: Browser
  let site: Site

  beforeAll(async () => {
    site = await servePages()
    browser = await launchBrowser()
  })
  afterAll(async () => {
    await browser?.close()
    await site?.close()
  })

  it('shows on its first load what Node computes from the same seed', async () => {
    const { page, problems, close } = await openPage(browser, site, '', wide)
    await finished(page)
    await choose(page, 'Table')
    await page.getByRole('button', { name: 'E4', exact: true }).click()
    const study = presetStudy('first')
    const open = openStudy(study, new Map())
    const outcomes = Array.from({ length: open.trialCount }, (_, index) => open.run(index).outcomes).flat()
    const { cells } = summarise({ seed: study.seed }, outcomes)
    const rows = await page
      .locator('table tbody tr')
      .evaluateAll((lines) =>
        lines.map((line) => [...line.querySelectorAll('td')].map((field) => field.textContent ?? '')),
      )
    expect(rows).toHaveLength(study.methods.length * study.snrsDb.length)
    for (const [place, fields] of rows.entries()) {
      const method = study.methods[Math.floor(place / study.snrsDb.length)]?.id
      const snrDb = study.snrsDb[place % study.snrsDb.length]
      const cell = cells.find((each) => each.string === 'E4' && each.method === method && each.snrDb === snrDb)
      const shown = Number.parseFloat(fields[1]?.replaceAll('\u2009', '').replace(',', '') ?? '')
      const error = cell?.medianAbsCents?.value ?? Number.NaN
      // Shown with one decimal, or two below 1 c: half of the last digit either way.
      expect(Math.abs(shown - error), `${method} at ${snrDb} dB`).toBeLessThanOrEqual(error < 1 ? 0.0051 : 0.51)
      expect(Number(fields.at(-1))).toBe(study.repeats)
    }
    expect(problems).toEqual([])
    await close()
  })

  it('has nothing serious for axe to say, as charts, as a table, on a phone, and about itself', async () => {
    const { page, close } = await openPage(browser, site, '', wide)
    await finished(page)
    expect(await seriousOn(page)).toEqual([])
    await choose(page, 'Table')
    expect(await seriousOn(page)).toEqual([])
    await page.getByRole('link', { name: 'About' }).click()
    await page.getByRole('heading', { level: 1, name: 'About' }).waitFor()
    expect(await seriousOn(page)).toEqual([])
    await close()
    const small = await openPage(browser, site, '', phone)
    await finished(small.page)
    expect(await seriousOn(small.page)).toEqual([])
    const beyond = await small.page.evaluate(() => document.documentElement.scrollWidth - innerWidth)
    expect(beyond).toBeLessThanOrEqual(0)
    await small.close()
  })

  it('stops within half a second of Cancel, keeps what it has, and goes on after a reload', async () => {
    const { page, problems, close } = await openPage(browser, site, '#/?study=quick', wide)
    const cancel = page.getByRole('button', { name: 'Cancel' })
    const bar = page.getByRole('progressbar', { name: 'Trials done' })
    await cancel.waitFor()
    await page.waitForFunction(
      () => Number(document.querySelector('[role=progressbar]')?.getAttribute('aria-valuenow')) >= 3,
    )
    const tookMs = await cancel.evaluate(
      (button) =>
        new Promise<number>((resolve) => {
          const start = performance.now()
          const watch = new MutationObserver(() => {
            if (!document.body.textContent?.includes('stopped')) return
            watch.disconnect()
            resolve(performance.now() - start)
          })
          watch.observe(document.body, { childList: true, subtree: true, characterData: true })
          ;(button as HTMLButtonElement).click()
        }),
    )
    expect(tookMs).toBeLessThan(500)
    const done = Number(await bar.getAttribute('aria-valuenow'))
    await page.reload()
    // The link's study goes on by itself: the first count it shows is what was kept.
    const kept = await page.waitForFunction(() =>
      Number(document.querySelector('[role=progressbar]')?.getAttribute('aria-valuenow')),
    )
    // A reload loses at most the trial whose outcomes were on their way.
    expect(await kept.jsonValue()).toBeGreaterThanOrEqual(done - 1)
    expect(problems).toEqual([])
    await close()
  })

  it('goes from a point to its trial, hears it, and goes back by key', async () => {
    const { page, problems, close } = await openPage(browser, site, '', wide)
    await finished(page)
    await page.locator('[tabindex="0"][aria-label]').first().focus()
    await page.keyboard.press('ArrowRight')
    await page.keyboard.press('Enter')
    await page.getByText('Readings, cents').first().waitFor()
    await page.getByText('Claims', { exact: true }).first().waitFor()
    expect(await seriousOn(page)).toEqual([])
    // Nothing sounds before the caution was read.
    const mix = page.locator('[data-part="mix"]')
    await mix.press('Enter')
    const understood = page.getByRole('button', { name: 'Understood, play the mix' })
    await understood.waitFor()
    expect(await mix.getAttribute('aria-pressed')).toBe('false')
    await understood.press('Enter')
    await page.locator('[data-part="mix"][aria-pressed="true"]').waitFor()
    await page.keyboard.press('Escape')
    await finished(page)
    expect(problems).toEqual([])
    await close()
  })

  it('compares pair by pair, shows the bound, and counts the same pairs as Node', async () => {
    const { page, problems, close } = await openPage(browser, site, '', wide)
    await finished(page)
    await choose(page, 'Table')
    await page.getByText('Pair by pair', { exact: true }).click()
    const rows = page.getByRole('region', { name: 'Differences to yin' }).locator('tbody tr')
    await rows.first().waitFor()
    const shown = await rows.evaluateAll((lines) =>
      lines.map((line) => [...line.querySelectorAll('th, td')].map((field) => field.textContent ?? '')),
    )
    const study = presetStudy('first')
    const open = openStudy(study, new Map())
    const outcomes = Array.from({ length: open.trialCount }, (_, index) => open.run(index).outcomes).flat()
    const differences = pairedDifferences({
      ...{ outcomes, reference: 'yin', others: study.methods.map(({ id }) => id), figure: 'error' },
      ...{ heardS: study.takeS - study.leadS, seed: study.seed },
    })
    expect(shown.map(([method]) => method).sort()).toEqual(differences.map(({ method }) => method).sort())
    for (const [method, , n, , lower, higher] of shown) {
      const one = differences.find((each) => each.method === method)
      expect([method, Number(n), Number(lower), Number(higher)]).toEqual([
        method,
        one?.difference.n,
        one?.lower,
        one?.higher,
      ])
    }
    await page.getByText('Against the bound', { exact: true }).click()
    await page.getByRole('region', { name: /^Noise over bound/ }).waitFor()
    await choose(page, 'Charts')
    await page.getByRole('img', { name: /^Noise over bound/ }).waitFor()
    expect(await seriousOn(page)).toEqual([])
    expect(problems).toEqual([])
    await close()
  })

  it('reads a WAV file as a string, and says what is wrong with one that is none', async () => {
    const { page, problems, close } = await openPage(browser, site, '', wide)
    await finished(page)
    await page.locator('.sentence .word').first().click()
    const pick = async (name: string, buffer: Buffer): Promise<void> => {
      const chooser = page.waitForEvent('filechooser')
      await page.getByRole('button', { name: 'Add a string from a WAV file' }).click()
      await (await chooser).setFiles({ name, mimeType: 'audio/wav', buffer })
    }
    await pick('broken.wav', Buffer.from('no sound at all'))
    const alert = page.getByRole('alert').first()
    await alert.waitFor()
    expect(await alert.textContent()).toContain('broken.wav')
    await pick('my A2.wav', readFileSync(join(root, 'signals/recordings/acoustic-a2.wav')))
    await page.getByRole('button', { name: 'Use it' }).click()
    await page.getByRole('checkbox', { name: /my A2\.wav/ }).waitFor()
    expect(problems).toEqual([])
    await close()
  })

  it('takes the strings of an instrument, says what is assumed of them, and finds both again from the address', async () => {
    const { page, problems, close } = await openPage(browser, site, '', wide)
    await finished(page)
    await page.locator('.sentence .word').first().click()
    await page.getByLabel('Instrument').selectOption('ring-rhythm')
    expect(await seriousOn(page)).toEqual([])
    await page.getByRole('button', { name: /^Done/ }).click()
    await page.locator('.sentence', { hasText: '6 strings of ring-rhythm' }).waitFor()
    await page.waitForFunction(() => /study=\w+\./.test(location.hash))
    const { hash } = new URL(page.url())
    const other = await openPage(browser, site, hash, wide)
    await other.page.locator('.sentence', { hasText: '6 strings of ring-rhythm' }).waitFor()
    for (const each of [page, other.page]) {
      await each.getByRole('button', { name: 'assumptions' }).click()
      const list = each.getByRole('dialog', { name: 'Assumptions' })
      await list.waitFor()
      expect(await list.getByRole('listitem').filter({ hasText: 'stiffness' }).count()).toBe(6)
      const mixed = list.getByRole('listitem').filter({ hasText: 'second polarisation, level' })
      expect(await mixed.textContent()).toBe('second polarisation, level0.4all strings · assumption')
      expect(await seriousOn(each)).toEqual([])
    }
    expect([...problems, ...other.problems]).toEqual([])
    await other.close()
    await close()
  })

  it('makes the same study again from its address', async () => {
    const { page, close } = await openPage(browser, site, '#/?study=quick', wide)
    await page.locator('.sentence').waitFor()
    const said = await page.locator('.sentence').textContent()
    expect(said).toContain('9 methods')
    const other = await openPage(browser, site, new URL(page.url()).hash, wide)
    await other.page.locator('.sentence').waitFor()
    expect(await other.page.locator('.sentence').textContent()).toBe(said)
    await other.close()
    await close()
  })
})
