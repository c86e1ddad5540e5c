/**
 * The Room page in a real Chromium, through its fake device: a scripted person whose noise and plucks lie in a WAV that our own
 * renderer made. What went in is known, so what comes out is checked: ratios, hum, and the time it takes.
 */
import { mkdtempSync, rmSync, writeFileSync } from 'node:fs'
import { tmpdir } from 'node:os'
import { join } from 'node:path'
import type { Browser } from 'playwright-core'
import { afterAll, beforeAll, describe, expect, it } from 'vitest'
import { instrumentById } from '../../src/core/instruments/podium.ts'
import { powerRatioFromDb } from '../../src/core/maths/units.ts'
import { meanSquareOfFirstSecond, renderString } from '../../src/core/scene/render.ts'
import { instrumentStrings } from '../../src/core/study/instrumentstrings.ts'
import { syntheticPluck } from '../../src/core/study/stringpluck.ts'
import { partsNoise } from '../unit/roomtakes.ts'
import { browserPath, launchBrowser, openPage, type Site, servePages } from './browser.ts'
import { fakeInput, pcm16, seriousFaults, smallTargets } from './fakeinput.ts'

const rateHz = 48_000
const silenceS = 0.5
/** Eight seconds are taken; the rest is for the page to open the device on a busy machine. */
const noiseS = 15
/** From one pluck to the next: what is kept of one, and a hand's way to the next string. */
const betweenS = 4.5
const mainsHz = 49.9
/** A take may lose sound on a busy machine; of that many in a row one in three lost would leave one run of eighty without any. */
const mostTakes = 4
const strings = instrumentStrings(instrumentById('ring-rhythm'))
/** Of each string over the room, dB: no two alike. */
const ratiosDb = [20, 17, 14, 12, 18, 15]

/** What the microphone hears: silence, the room, then every string once in the same room. */
function performance(): Float32Array {
  const seconds = noiseS + betweenS * strings.length
  const parts = [
    { id: 'pink', levelDb: 0, values: {} },
    { id: 'hum', levelDb: -6, values: { mainsHz } },
  ]
  const noise = partsNoise(parts, seconds, rateHz, 31)
  strings.forEach((string, i) => {
    const onsetS = 0.1
    const played = syntheticPluck(string, onsetS, string.targetHz)
    const scene = { sampleRateHz: rateHz, durationS: betweenS, seed: 31 + i, plucks: [played], noises: [], room: null }
    const { samples } = renderString(scene, new Map())
    const gain = Math.sqrt(powerRatioFromDb(ratiosDb[i] ?? 0) / meanSquareOfFirstSecond(samples, scene))
    const from = Math.round((noiseS + betweenS * i) * rateHz)
    for (let at = 0; at < samples.length && from + at < noise.length; at++) noise[from + at] += gain * samples[at]
  })
  const peak = noise.reduce((most, value) => Math.max(most, Math.abs(value)), 0)
  return Float32Array.from([...new Float32Array(silenceS * rateHz), ...noise.map((value) => (0.7 / peak) * value)])
}

/** From page load to the last verdict by keys alone; null: sound was lost on the way, as the page itself says. */
async function scripted(browser: Browser, site: Site) {
  const began = Date.now()
  const opened = await openPage(browser, site, '#/room', { viewport: { width: 1280, height: 800 } })
  const { page } = opened
  await page.getByText('First: is the house muted?').waitFor()
  // A pedal is a keyboard with few keys.
  await page.keyboard.press('PageDown')
  await page.getByRole('button', { name: 'Open the input' }).waitFor()
  await page.keyboard.press('PageDown')
  await page.getByText('Damp all strings').waitFor({ timeout: 20_000 })
  await page.keyboard.press('PageDown')
  const done = page.getByText('All 6 strings are kept')
  const lost = page.getByText('Sound was lost on the way')
  await done.or(lost).first().waitFor({ timeout: 80_000 })
  if (await lost.isVisible()) {
    await opened.close()
    return null
  }
  await page.getByRole('row', { name: /^E4/ }).first().waitFor({ timeout: 20_000 })
  return { ...opened, tookS: (Date.now() - began) / 1000 }
}

describe.skipIf(browserPath === null)('the Room page', () => {
  let site: Site
  let folder: string

  beforeAll(async () => {
    folder = mkdtempSync(join(tmpdir(), 'room-'))
    writeFileSync(join(folder, 'performance.wav'), pcm16(performance()))
    site = await servePages()
  })

  afterAll(async () => {
    await site?.close()
    rmSync(folder, { recursive: true, force: true })
  })

  it('goes from page load to verdicts on six strings within 90 s, by keys alone, and finds what was put in', async () => {
    const browser: Browser = await launchBrowser(fakeInput(join(folder, 'performance.wav')))
    try {
      const tries: (Awaited<ReturnType<typeof scripted>> | null)[] = []
      // A machine that has no core left for the audio thread loses sound. The page says so and asks again; the WAV does not.
      while (tries.length < mostTakes && (tries.at(-1) ?? null) === null) tries.push(await scripted(browser, site))
      const whole = tries.at(-1) ?? null
      if (whole === null) throw new Error(`sound was lost in ${mostTakes} takes: the machine is too busy for this test`)
      const { page, problems, tookS } = whole
      expect(tookS).toBeLessThan(90)

      const sentences = await page.locator('.room-verdict').allTextContents()
      expect(sentences.map((sentence) => sentence.split(':')[0])).toEqual(['E2', 'A2', 'D3', 'G3', 'B3', 'E4'])
      const rows = page.getByRole('region', { name: 'Strings in this room' }).locator('tbody tr')
      const told = await rows.evaluateAll((list) =>
        list.map((row) => Number.parseFloat((row.querySelector('td')?.textContent ?? '').replace('−', '-'))),
      )
      expect(told).toHaveLength(6)
      for (const [i, ratioDb] of told.entries()) expect(Math.abs(ratioDb - (ratiosDb[i] ?? 0))).toBeLessThan(1)

      const tones = page.getByRole('region', { name: 'Steady tones' }).first().locator('tbody th')
      const tonesHz = (await tones.allTextContents()).map(Number)
      expect(tonesHz.length).toBeGreaterThan(0)
      // Harmonics fall by 6 dB an octave: the loudest are the first of them.
      for (const hz of tonesHz.slice(0, 3)) {
        expect(Math.abs(hz - mainsHz * Math.round(hz / mainsHz))).toBeLessThan(0.5)
      }

      // By keys: the part stands between the verdicts and their table.
      await page.getByRole('button', { name: 'Predict for this room' }).press('Enter')
      const predicted = page.getByRole('region', { name: 'Predicted for this room' }).locator('tbody tr')
      await predicted.first().waitFor({ timeout: 90_000 })
      expect(await predicted.count()).toBe(5)
      // 12 dB and more over pink noise: the joint fit claims within 5 c, its hold and little more after the pluck.
      const joint = await predicted.filter({ hasText: 'Joint fit' }).locator('td').allTextContents()
      const [errorCents, lockS] = joint.map(Number.parseFloat)
      expect(errorCents).toBeLessThan(5)
      expect(lockS).toBeGreaterThan(0.25)
      expect(lockS).toBeLessThan(0.5)
      const chosen = await page.locator('.room-chosen dd').allTextContents()
      expect(chosen[0]).toContain('quickest here to a claim within 5 c')
      expect(chosen[1]).toContain('the most exact here')

      await page.keyboard.press('k')
      await page.getByText(/^The last \d+ s are kept/).waitFor({ state: 'attached' })
      await page.keyboard.press('f')
      await page.getByText('held still').waitFor()
      expect(await seriousFaults(page)).toEqual([])
      expect(await smallTargets(page)).toEqual([])
      expect(problems).toEqual([])
    } finally {
      await browser.close()
    }
  }, 240_000)

  it('says where the setting is when it may not listen, and offers a made-up take that goes the same way', async () => {
    // Without the fake consent a headless browser says no.
    const browser = await launchBrowser(['--use-fake-device-for-media-stream'])
    try {
      const { page, problems } = await openPage(browser, site, '#/room', { viewport: { width: 390, height: 844 } })
      await page.getByRole('button', { name: 'I have seen to it' }).click()
      await page.getByRole('button', { name: 'Open the input' }).click()
      await page.getByRole('alert').getByText('allow the microphone').waitFor()
      expect(await seriousFaults(page)).toEqual([])
      expect(await smallTargets(page)).toEqual([])
      await page.getByRole('button', { name: 'Try it with a made-up take' }).click()
      const take = page.getByRole('button', { name: /^Take the noise/ })
      // The made-up hand plucks within a second: either side of that moment will do.
      const pluck = page.getByText(/^(Pluck|Let) E2/)
      // A machine without a core to spare loses sound. The page must say so; a person then takes the noise again.
      for (let tries = 1; ; tries++) {
        await take.click({ timeout: 30_000 })
        await page.getByText('an invented room and invented strings').waitFor()
        await take.waitFor({ state: 'hidden' })
        await pluck.or(take).first().waitFor({ timeout: 30_000 })
        if (await pluck.isVisible()) break
        expect(await page.locator('.room-ask').textContent()).toContain('Sound was lost on the way')
        if (tries === mostTakes)
          throw new Error(`sound was lost in ${tries} takes: the machine is too busy for this test`)
      }
      await page.locator('.room-verdict', { hasText: 'E2' }).waitFor({ timeout: 20_000 })
      const wide = await page.evaluate(() => document.documentElement.scrollWidth)
      expect(wide).toBeLessThanOrEqual(390)
      expect(await seriousFaults(page)).toEqual([])
      expect(problems).toEqual([])
    } finally {
      await browser.close()
    }
  }, 120_000)
})
