/** The Instruments page in a real Chromium: it answers, edits, takes back, keeps, refuses, and can be used by anyone. */
import AxeBuilder from '@axe-core/playwright'
import type { Browser, BrowserContext, Page } from 'playwright-core'
import { afterAll, afterEach, beforeAll, beforeEach, describe, expect, it } from 'vitest'
import { pullSentence, stringsSentence } from '../../src/app/instruments/sentences.ts'
import { compareSetups, transposed, withGauges } from '../../src/core/instruments/compare.ts'
import { instrumentById } from '../../src/core/instruments/podium.ts'
import { browserPath, launchBrowser, type Site, servePages } from './browser.ts'

const clowns = instrumentById('clown-acoustic')

/** What a person reads: no-break spaces are spaces. */
const plain = (text: string | null | undefined): string => (text ?? '').replaceAll('\u00a0', ' ')

describe.skipIf(browserPath === null)('the Instruments page', () => {
  let site: Site
  let browser: Browser
  let context: BrowserContext
  let page: Page
  let problems: string[]

  const open = async (): Promise<Page> => {
    const next = await context.newPage()
    next.on('pageerror', (error) => problems.push(error.message))
    await next.goto(`${site.url}#/instruments?study=first`)
    await next.getByRole('heading', { name: 'Instruments', level: 1 }).waitFor()
    await next.getByRole('button', { name: 'File' }).waitFor()
    return next
  }
  const verdict = async (): Promise<string> => plain(await page.locator('.verdict').textContent())
  const openClowns = () => page.getByRole('button', { name: /^Acoustic of the clowns/ }).click()

  beforeAll(async () => {
    ;[site, browser] = await Promise.all([servePages(), launchBrowser()])
  })

  afterAll(async () => {
    await browser?.close()
    await site?.close()
  })

  beforeEach(async () => {
    problems = []
    context = await browser.newContext({ viewport: { width: 1280, height: 800 } })
    // The bench's own study would take the processor meanwhile: its workers are given nothing to do.
    await context.addInitScript(() => {
      window.Worker = class extends EventTarget {
        postMessage() {}
        terminate() {}
      } as unknown as typeof Worker
    })
    page = await open()
  })

  afterEach(async () => {
    await context.close()
    expect(problems).toEqual([])
  })

  it('answers both questions before and after a tap, with the figures of the core', async () => {
    await openClowns()
    const down = compareSetups(clowns, transposed(clowns, -1))
    expect(await verdict()).toContain(plain(pullSentence(down)))
    expect(await verdict()).toContain('Tension of every string: −10.9 %. Cents for a degree of peg: +12.2 %')

    await page.getByRole('button', { name: '12–53 instead of 11–52' }).click()
    const expected = compareSetups(clowns, withGauges(clowns, '12-53'))
    expect(await verdict()).toContain(plain(pullSentence(expected)))
    expect(await verdict()).toContain(plain(stringsSentence(expected)))

    await page.getByRole('button', { name: 'Table' }).click()
    const first = page.getByRole('row', { name: /String 1,/ })
    const shown = (await first.getByRole('cell').allTextContents()).map(plain)
    const { tensionN } = expected.strings[0].changes ?? {}
    expect(shown.slice(0, 2)).toEqual([tensionN?.from.value.toFixed(1), tensionN?.to.value.toFixed(1)])
    expect(shown[2]).toBe(`+${tensionN?.percent.value.toFixed(1)} %`)
  })

  it('opens the assumptions of every estimate', async () => {
    await page.getByRole('button', { name: 'String 6, E2: all figures' }).click()
    const dialog = page.getByRole('dialog')
    expect(await dialog.textContent()).toContain('peg: 16:1')
    await page.keyboard.press('Escape')
    await page.getByText('marks an estimate').click()
    expect(await page.locator('.assumptions').textContent()).toContain('turns touching')
    expect(await page.locator('.cautions').textContent()).toMatch(/eye.*qualified repairer.*estimates/s)
  })

  it('keeps an edit over a crash, refuses nonsense with a sentence, and takes back', async () => {
    await openClowns()
    await page.getByRole('button', { name: 'Edit', exact: true }).click()
    const scale = page.getByLabel('Scale length, mm')
    await scale.fill('2000')
    await scale.press('Tab')
    expect(await page.getByRole('alert').textContent()).toBe('Scale length: 2000 is above 1100 mm. 632 mm stays.')
    expect(await scale.inputValue()).toBe('2000')
    await scale.fill('650')
    await page.getByLabel('Player').fill('Pocket the Second')
    expect(await page.getByRole('alert').count()).toBe(0)

    // A crash: nothing is told to the page, and another one reads what was kept within two seconds.
    await page.waitForTimeout(1000)
    const later = await open()
    await later.getByRole('button', { name: /^Acoustic of the clowns/ }).click()
    expect(await later.locator('.setup-facts').first().textContent()).toMatch(/^650 mm.*Pocket the Second$/)
    await later.close()

    await page.getByRole('button', { name: 'Done' }).click()
    await page.keyboard.press('Control+z')
    await page.keyboard.press('Control+z')
    const facts = page.locator('.setup-facts').first()
    expect(await facts.textContent()).toMatch(/^632 mm.*Pocket, clown/)
    await page.getByRole('button', { name: 'Redo' }).click()
    expect(await facts.textContent()).toMatch(/^650 mm/)
  })

  it('does not lose what was typed last when the field goes away', async () => {
    await page.getByRole('button', { name: 'Edit', exact: true }).click()
    await page.getByLabel('Reference pitch, A4, Hz').fill('500')
    await page.getByRole('button', { name: 'Done' }).click()
    expect(await page.getByRole('alert').textContent()).toContain(
      'Reference pitch, A4: 500 is above 480 Hz. 440 Hz stays.',
    )
  })

  it('removes, says so, and brings back', async () => {
    await openClowns()
    await page.getByRole('button', { name: 'Duplicate' }).click()
    expect(await page.getByRole('button', { name: /^Acoustic of the clowns/ }).count()).toBe(2)
    await page.getByRole('button', { name: 'Remove' }).click()
    const status = page.getByRole('status')
    expect(await status.textContent()).toContain('Acoustic of the clowns, copy removed.')
    await status.getByRole('button', { name: 'Undo' }).click()
    expect(await page.getByRole('button', { name: /^Acoustic of the clowns/ }).count()).toBe(2)
  })

  it('says what is wrong with a file and changes nothing; a good one is added', async () => {
    const drop = async (name: string, text: string): Promise<void> => {
      await page.getByRole('button', { name: 'File' }).click()
      const [chooser] = await Promise.all([
        page.waitForEvent('filechooser'),
        page.getByRole('button', { name: 'Open a JSON file' }).click(),
      ])
      await chooser.setFiles({ name, mimeType: 'application/json', buffer: Buffer.from(text) })
    }
    const file = (scaleMm: number): string =>
      JSON.stringify({
        schema: 1,
        instruments: [
          { id: 'van', title: 'From the van', kind: 'electric', gauges: '10-46', tuning: 'drop-d', scaleMm },
        ],
      })
    await drop('van.json', file(2000))
    expect(await page.getByRole('alert').textContent()).toContain(
      'van.json: instruments.0.scaleMm: 2000 is above 1100 mm. Nothing was changed',
    )
    expect(await page.getByRole('button', { name: /^From the van/ }).count()).toBe(0)
    await drop('van.json', file(628))
    await page.getByRole('button', { name: /^From the van/ }).waitFor()
    expect(await page.getByRole('alert').count()).toBe(0)
  })

  it('goes on without storage and says so', async () => {
    await context.addInitScript(() => {
      Object.defineProperty(window, 'indexedDB', {
        get: () => {
          throw new Error('refused')
        },
      })
    })
    page = await open()
    expect(await page.getByRole('alert').textContent()).toContain('refuses to keep anything')
    await page.getByRole('button', { name: 'New instrument' }).click()
    expect(await page.getByLabel('Name').inputValue()).toBe('New instrument')
  })

  it.each([
    [1280, 800],
    [390, 844],
  ])('has no serious fault for axe at %i × %i, and no target under 48 px', async (width, height) => {
    await page.setViewportSize({ width, height })
    const faults: string[] = []
    const look = async (what: string): Promise<void> => {
      const { violations } = await new AxeBuilder({ page }).analyze()
      for (const { id, impact, nodes } of violations) {
        if (impact === 'serious' || impact === 'critical') faults.push(`${what}: ${id} ${nodes[0]?.html}`)
      }
      faults.push(
        ...(await page.evaluate(
          (name) =>
            [...document.querySelectorAll<HTMLElement>('main :is(button, input[type=text], select, summary)')]
              .filter((target) => target.offsetParent !== null)
              .filter((target) => target.getBoundingClientRect().height < 48)
              .map((target) => `${name}: ${target.getBoundingClientRect().height} px, ${target.textContent}`),
          what,
        )),
      )
      const wider = await page.evaluate(() => document.documentElement.scrollWidth - window.innerWidth)
      if (wider > 0) faults.push(`${what}: ${wider} px wider than the window`)
    }
    await look('charts')
    // On a phone the pictures' view holds the tables too.
    if (width > 600) {
      await page.getByRole('button', { name: 'Table' }).click()
      await look('table')
    }
    await page.getByRole('button', { name: 'Edit', exact: true }).click()
    await page.getByLabel('Gauges', { exact: true }).selectOption({ label: 'own diameters' })
    await page.getByLabel('Tuning', { exact: true }).selectOption({ label: 'own notes' })
    await look('form')
    expect(faults).toEqual([])
  })
})
