/**
 * Every own method live in a real Chromium, on a take that a worklet plays at the pace of sound, with and without shared
 * memory. The readings expected are Node's for the samples that were heard. The minute is measured in tests/bench/live.mjs.
 */
import type { Browser } from 'playwright-core'
import { afterAll, beforeAll, describe, expect, it } from 'vitest'
import { centsBetween } from '../../src/core/maths/units.ts'
import { methodById } from '../../src/core/methods/index.ts'
import { listen } from '../../src/core/methods/listen.ts'
import { parseScene } from '../../src/core/scene/parse.ts'
import { render } from '../../src/core/scene/render.ts'
import { browserPath, launchBrowser, openPage, type Site, serveHarness } from './browser.ts'
import type { LiveHeard } from './harness/live.ts'
import { liveScene, liveStream, measuredLive, ownIds } from './liverun.ts'

const chosen = ownIds.map((id) => ({ id, values: {} }))
const { take } = render(parseScene(liveScene), new Map())
/** Continuous readings agree within this many cents between engines; only Math.* differ, in the last bit. */
const engineCents = 1e-6

/** The stream from its first sample on holds silence, then the take over and over. Answers where the take begins. */
function expectTake({ startSample, samples }: LiveHeard['snapshot']): number {
  expect(startSample).toBe(0)
  const start = samples.findIndex((sample) => sample !== 0) - take.samples.findIndex((sample) => sample !== 0)
  expect(start).toBeGreaterThanOrEqual(0)
  const wrong = samples.findIndex(
    (sample, i) => i >= start && sample !== take.samples[(i - start) % take.samples.length],
  )
  expect(wrong).toBe(-1)
  return start
}

function expectReadings(heard: LiveHeard, ids: readonly string[], samples: Float32Array, keptS: number): void {
  const stream = { ...liveStream, sampleRateHz: 48_000 }
  // The first method in the list is yin, whose first reading ends with its first whole window.
  const begin = heard.readings[0][0][0] - 4096
  let flipped = 0
  let compared = 0
  for (const [slot, id] of ids.entries()) {
    const method = methodById(id)
    const told = method.family === 'aimed' ? stream : { ...stream, targetHz: null }
    const there = heard.readings[slot]
    // What was heard before the list came to the worker was heard by no method.
    const start = (there[0]?.[0] ?? Number.NaN) - (listen(method, samples.subarray(0, 48_000), told)[0]?.toSample ?? 0)
    expect(start, id).toBe(begin)
    const own = listen(method, samples.subarray(start), told)
      .map(({ toSample, f0Hz }) => ({ toSample: toSample + start, f0Hz }))
      .filter(({ toSample }) => toSample < keptS * stream.sampleRateHz)
    expect(
      there.map(([toSample]) => toSample),
      id,
    ).toEqual(own.map(({ toSample }) => toSample))
    compared += own.length
    for (const [i, [, f0Hz]] of there.entries()) {
      const same = Number.isNaN(own[i].f0Hz)
        ? Number.isNaN(f0Hz)
        : Math.abs(centsBetween(f0Hz, own[i].f0Hz)) <= engineCents
      if (!same) flipped++
    }
  }
  expect(compared).toBeGreaterThan(100 * ids.length)
  // A decision may flip on a last bit in one of 10 000 readings; one is allowed in fewer.
  expect(flipped).toBeLessThanOrEqual(Math.max(1, compared / 10_000))
}

describe.skipIf(browserPath === null).each([
  ['shared memory', true],
  ['posted blocks', false],
])('live in Chromium through %s', (_, shared) => {
  let browser: Browser
  let site: Site

  beforeAll(async () => {
    ;[site, browser] = await Promise.all([serveHarness(shared), launchBrowser()])
  })

  afterAll(async () => {
    await browser?.close()
    await site?.close()
  })

  it('runs all own methods side by side: nothing lost, the readings of Node, a page with time to spare', async () => {
    const { page, problems, close } = await openPage(browser, site)
    const run = { sceneJson: liveScene, chosen, stream: liveStream, shared, thin: false, seconds: 4, keptS: 3 }
    const heard = await measuredLive(browser, page, run)
    expect({ ...heard, shared: heard.shared }).toMatchObject({
      shared,
      sampleRateHz: 48_000,
      problems: [],
      dropped: [],
    })
    expect(heard.status).toMatchObject({ lostSamples: 0, skippedSamples: 0, gaps: 0 })
    // All that the audio clock went through was heard, but for the quanta under way at either end.
    expect(heard.status?.heardSamples ?? 0).toBeGreaterThanOrEqual(heard.clockSamples - 4096)
    expectTake(heard.snapshot)
    expectReadings(heard, ownIds, Float32Array.from(heard.snapshot.samples), run.keptS)
    // The aimed methods claim the string that is played.
    for (const id of ['partial-fit', 'joint-fit']) {
      expect(Math.abs(centsBetween(heard.claims[ownIds.indexOf(id)] ?? Number.NaN, 110))).toBeLessThan(5)
    }
    // By computing, not by the clock: other tests may hold the cores.
    expect(heard.pageComputed).toBeLessThan(0.3)
    expect(problems).toEqual([])
    await close()
  })

  it('changes its list while it runs without losing a sample, and goes on without one that cannot be opened', async () => {
    const { page, problems, close } = await openPage(browser, site)
    const first = ['yin', 'mpm'].map((id) => ({ id, values: {} }))
    const second = [
      { id: 'mpm', values: {} },
      { id: 'nothing', values: {} },
      { id: 'yin', values: { window: 2048 } },
    ]
    const run = {
      sceneJson: liveScene,
      chosen: first,
      stream: liveStream,
      shared,
      thin: false,
      seconds: 1.6,
      keptS: 60,
      later: { afterS: 0.7, chosen: second },
    }
    const heard = await page.evaluate((given) => window.harness.heardLive(given), run)
    expect(heard.dropped).toEqual([{ id: 'nothing', slot: 1, what: expect.stringContaining('no method "nothing"') }])
    expect(heard.problems).toEqual([])
    expect(heard.status).toMatchObject({ lostSamples: 0, skippedSamples: 0, gaps: 0 })
    // The one that stayed answers every hop since it began: no hop is left out where the list changed.
    const places = heard.readings[0].map(([toSample]) => toSample)
    expect(places.length).toBeGreaterThan(40)
    expect(places.every((toSample) => (toSample - 4096) % 512 === 0)).toBe(true)
    expect(places).toEqual(places.map((_, i) => places[0] + 512 * i))
    // In the order of the second list: the one unopened says nothing, the last is new and began in between.
    expect(heard.readings[1]).toEqual([])
    expect(heard.readings[2].length).toBeGreaterThan(40)
    expect(problems).toEqual([])
    await close()
  })
})
