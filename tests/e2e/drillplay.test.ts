/**
 * The Drill played by script in a real Chromium. Two logs stand in the browser's own store and are replayed by the page, its
 * own best way beside them: one does what the best way does, the other is careless in known ways. And one attempt is played by a
 * thumb alone, with touches, on a phone.
 */
import type { Browser, BrowserContext, CDPSession, Page } from 'playwright-core'
import { afterAll, afterEach, beforeAll, beforeEach, describe, expect, it } from 'vitest'
import { pxPerDegree } from '../../src/app/drill/field.ts'
import { exerciseById } from '../../src/core/drill/exercises.ts'
import { freshDetector } from '../../src/core/drill/fresh.ts'
import { exerciseCode } from '../../src/core/drill/link.ts'
import type { Log } from '../../src/core/drill/log.ts'
import { bestWay } from '../../src/core/drill/policy.ts'
import { Session } from '../../src/core/drill/session.ts'
import { Scripted } from '../unit/drillparts.ts'
import { browserPath, launchBrowser, type Site, servePages } from './browser.ts'
import { steadyReading } from './drillreading.ts'
import { seriousFaults } from './fakeinput.ts'

const exercise = exerciseById('quiet-fine')
const seed = 11
const phone = { viewport: { width: 390, height: 844 }, hasTouch: true, isMobile: true }

/** From the claim inside until the string is left; then it reads five cents off. */
const stayedS = 4.05
const againS = { read: 0.4, left: 0.25 } as const
const outsideCents = 5
function carelessLog(): Log {
  const person = new Scripted(exercise, seed).wait(0.8).pluck(0).wait(0.4).claim(0).wait(0.4).home(0)
  person.wait(0.8).pluck(0).wait(0.4).claim(0)
  // Then it is turned once more, read outside, and left so.
  person.wait(stayedS - againS.read - againS.left).turn(0, outsideCents)
  person.pluck(0).wait(againS.read).claim(0).wait(againS.left).letGo(0)
  return person.finish()
}

/** As the page itself keeps an attempt (keep.ts). */
async function keepInBrowser(page: Page, log: Log): Promise<void> {
  const attempt = {
    ...{ exercise: exerciseCode(exercise), seed, log },
    ...{ lostS: 0, lostCents: 0, passed: false, at: 1 },
  }
  await page.evaluate(
    (kept) =>
      new Promise<void>((resolve, reject) => {
        const opening = indexedDB.open('clatterbench-drill', 1)
        opening.onupgradeneeded = () => opening.result.createObjectStore('attempts', { autoIncrement: true })
        opening.onerror = () => reject(opening.error)
        opening.onsuccess = () => {
          const change = opening.result.transaction('attempts', 'readwrite')
          change.objectStore('attempts').add(kept)
          change.oncomplete = () => {
            opening.result.close()
            resolve()
          }
        }
      }),
    attempt,
  )
}

describe.skipIf(browserPath === null)('the drill, played by script', () => {
  let site: Site
  let browser: Browser
  let context: BrowserContext
  let page: Page
  let problems: string[]

  beforeAll(async () => {
    site = await servePages()
    browser = await launchBrowser()
  })

  afterAll(async () => {
    await browser?.close()
    await site?.close()
  })

  beforeEach(async () => {
    problems = []
    context = await browser.newContext(phone)
    page = await context.newPage()
    page.setDefaultTimeout(90_000)
    page.on('pageerror', (error) => problems.push(error.message))
  })

  afterEach(async () => {
    await context.close()
    expect(problems).toEqual([])
  })

  /** The page's own score of a replayed log. */
  async function scoreOfReplay(log: Log): Promise<string> {
    // Any page of the site opens its store; this one runs nothing.
    await page.goto(`${site.url}#/about`)
    await keepInBrowser(page, log)
    await page.goto(`${site.url}?again#/drill?study=first`)
    await page
      .getByRole('button', { name: /^Replay/ })
      .first()
      .click()
    const score = page.getByRole('region', { name: 'Score' })
    await score.waitFor()
    return (await score.textContent()) ?? ''
  }

  it('scores nothing behind for the best way itself', async () => {
    const told = await scoreOfReplay(bestWay(exercise, seed, freshDetector(exercise, seed)).log)
    expect(told).toContain('Passed: As soon and as close as the best way on this seed')
    expect(told).not.toContain('went into moves')
    const times = /time([\d.]+) s([\d.]+) s/.exec(told)
    expect(times?.[1]).toBe(times?.[2])
  }, 180_000)

  it('tells a careless hand its own faults, each with its figure', async () => {
    const told = await scoreOfReplay(carelessLog())
    expect(told).toContain('Not passed')
    // A reaction of 0.35 s, the plan's own, is no lingering.
    expect(told).toContain(`${(stayedS - 0.35).toFixed(1)} s Stayed on A2 after it read inside ±2 c`)
    expect(told).toContain(`${(outsideCents - 2).toFixed(1)} c Let A2 go while it read outside ±2 c`)
    expect(told).toContain('one string not done')
    expect(told).not.toContain('from sharp')
  }, 180_000)

  it('is played by one thumb: everything within its reach, pluck, turn on the field, let go, finish', async () => {
    await page.goto(`${site.url}#/drill?study=first&seed=${seed}`)
    await page.getByRole('button', { name: 'Start' }).tap()
    const pluck = page.getByRole('button', { name: 'Pluck', exact: true })
    await pluck.waitFor()
    for (const name of ['Pluck', 'Let go', 'Finish']) {
      const box = await page.getByRole('button', { name, exact: true }).boundingBox()
      if (box === null) throw new Error(`${name} is not to be seen`)
      expect(box.height).toBeGreaterThanOrEqual(48)
      // In the lower half of the screen without scrolling, above the strip of pages.
      expect(box.y).toBeGreaterThan(phone.viewport.height / 2)
      expect(box.y + box.height).toBeLessThanOrEqual(phone.viewport.height)
    }
    const field = await page.locator('.drill-field canvas').boundingBox()
    if (field === null) throw new Error('no field')
    expect(field.y + field.height).toBeLessThanOrEqual(phone.viewport.height)
    const thumb = await context.newCDPSession(page)
    const perDegree = new Session(exercise, seed).centsPerDegree(0)
    for (let round = 0; round < 6; round++) {
      await pluck.tap()
      const { cents, words } = await steadyReading(page)
      if (words.startsWith('inside')) break
      await drag(thumb, field, -cents / perDegree)
    }
    await page.getByRole('button', { name: 'Let go', exact: true }).tap()
    await page.locator('.drill-strings', { hasText: 'done' }).waitFor()
    await page.getByRole('button', { name: 'Finish', exact: true }).tap()
    const score = page.getByRole('region', { name: 'Score' })
    await score.waitFor()
    const told = (await score.textContent()) ?? ''
    expect(told).not.toContain('not done')
    expect(Number(/worst string([\d.]+) c/.exec(told)?.[1])).toBeLessThanOrEqual(exercise.toleranceCents)
    expect(await seriousFaults(page)).toEqual([])
    // The page did not scroll away under the turning thumb.
    expect(await page.evaluate(() => document.documentElement.scrollWidth)).toBeLessThanOrEqual(390)
  }, 180_000)
})

/** A thumb drawn sideways over the field by so many degrees, in strokes as long as the field allows. */
async function drag(
  thumb: CDPSession,
  field: { readonly x: number; readonly y: number; readonly width: number; readonly height: number },
  degrees: number,
): Promise<void> {
  // Near the bottom for fine turns, near the top for coarse ones.
  const share = Math.abs(degrees) > 8 ? 0.15 : 0.85
  const perDegree = pxPerDegree(share * field.height, { widthPx: field.width, heightPx: field.height })
  let left = degrees * perDegree
  while (Math.abs(left) > 0.5) {
    const stroke = Math.sign(left) * Math.min(Math.abs(left), field.width - 60)
    const y = field.y + share * field.height
    const from = stroke > 0 ? field.x + 30 : field.x + field.width - 30
    const at = (x: number) => ({ touchPoints: [{ x, y }] })
    await thumb.send('Input.dispatchTouchEvent', { type: 'touchStart', ...at(from) })
    for (let step = 1; step <= 8; step++) {
      await thumb.send('Input.dispatchTouchEvent', { type: 'touchMove', ...at(from + (stroke * step) / 8) })
    }
    await thumb.send('Input.dispatchTouchEvent', { type: 'touchEnd', touchPoints: [] })
    left -= stroke
  }
}
