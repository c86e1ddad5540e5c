/**
 * The real worklets and workers in a real Chromium, against the same code in Node. Expected samples and readings are
 * Node's own for the same scene; that they are right is checked in the other suites.
 */
import { createHash } from 'node:crypto'
import type { Browser } from 'playwright-core'
import { afterAll, beforeAll, describe, expect, it } from 'vitest'
import { randomStream } from '../../src/core/maths/random.ts'
import { centsBetween } from '../../src/core/maths/units.ts'
import { methodById } from '../../src/core/methods/index.ts'
import { listen } from '../../src/core/methods/listen.ts'
import type { Reading } from '../../src/core/methods/method.ts'
import { noises } from '../../src/core/scene/noises/index.ts'
import { parseScene, sceneJson } from '../../src/core/scene/parse.ts'
import { render } from '../../src/core/scene/render.ts'
import type { Score } from '../../src/core/score/score.ts'
import { knownRooms, presetStudy, roomById, stringById } from '../../src/core/study/presets.ts'
import type { Outcome } from '../../src/core/study/study.ts'
import { openStudy, trialAt } from '../../src/core/study/trial.ts'
import { sceneOf } from '../../src/core/study/trialscene.ts'
import { startLevelDb } from '../../src/host/audio.ts'
import { browserPath, launchBrowser, type OpenedPage, openPage, type Site, serveHarness } from './browser.ts'

const scene = (noiseId: string, sampleRateHz = 48_000) => ({
  sampleRateHz,
  durationS: 1.5,
  seed: 7,
  plucks: [
    {
      onsetS: 0.2,
      firstPartialHz: 82.5,
      stiffness: 6e-5,
      decayS: 3,
      highDecayRatio: 0.5,
      pickRatio: 0.2,
      glideCents: 12,
    },
  ],
  noises: [{ id: noiseId, snrDb: 10 }],
})
const study = presetStudy('first')
const mixed = scene('pink')
const here = render(parseScene(mixed), new Map())

const sha256 = (samples: Float32Array | Float64Array): string =>
  createHash('sha256')
    .update(Buffer.from(samples.buffer, samples.byteOffset, samples.byteLength))
    .digest('hex')

/** Continuous readings agree within this many cents between engines; only Math.* differ, in the last bit. */
const engineCents = 1e-6

function expectSameReadings(there: readonly Reading[], expected: readonly Reading[]): void {
  expect(there.length).toBe(expected.length)
  for (const [i, reading] of there.entries()) {
    const own = expected[i]
    expect([reading.fromSample, reading.toSample]).toEqual([own.fromSample, own.toSample])
    if (Number.isNaN(own.f0Hz)) expect(reading.f0Hz).toBeNaN()
    else expect(Math.abs(centsBetween(reading.f0Hz, own.f0Hz))).toBeLessThan(engineCents)
  }
}

describe.skipIf(browserPath === null)('in Chromium', () => {
  let browser: Browser
  let site: Site
  let opened: OpenedPage

  beforeAll(async () => {
    ;[site, browser] = await Promise.all([serveHarness(), launchBrowser()])
    opened = await openPage(browser, site)
  })

  afterAll(async () => {
    await browser?.close()
    await site?.close()
  })

  it('is isolated, so that memory can be shared', async () => {
    expect(await opened.page.evaluate(() => window.harness.isolated())).toBe(true)
  })

  it('draws the same normal deviates', async () => {
    const count = 200_000
    const target = new Float64Array(count)
    randomStream(3, 'check').fillGaussian(target)
    expect(await opened.page.evaluate((n) => window.harness.gaussianHash(3, n), count)).toBe(sha256(target))
  })

  it.each(noises.filter((noise) => noise.recorded !== true).map((noise) => noise.id))(
    'renders the same samples with %s',
    async (id) => {
      // 44.1 kHz and 48 kHz take turns: set-up depends on the rate.
      const json = scene(id, noises.findIndex((noise) => noise.id === id) % 2 === 0 ? 48_000 : 44_100)
      const { take, clean, noise } = render(parseScene(json), new Map())
      const there = await opened.page.evaluate((given) => window.harness.hashes(given), json)
      expect(there).toEqual({ take: sha256(take.samples), clean: sha256(clean), noise: sha256(noise) })
    },
  )

  it.each(knownRooms.map((room) => room.id))('renders the same trial of the room %s, of a kind string', async (id) => {
    const room = roomById(id)
    // A kind brings scatter, second slopes, a second polarisation and the noise of the pluck; rooms bring body, sensor, neighbours.
    const string = { ...stringById('E2'), kind: 'acoustic' as const }
    const inRoom = { ...study, strings: [string], rooms: [room] }
    const json = sceneJson(sceneOf(inRoom, string, room, trialAt(inRoom, 0)))
    const { take, clean, noise } = render(parseScene(json), new Map())
    const there = await opened.page.evaluate((given) => window.harness.hashes(given), json)
    expect(there).toEqual({ take: sha256(take.samples), clean: sha256(clean), noise: sha256(noise) })
  })

  it.each([
    ['mix', here.take.samples],
    ['string', here.clean],
    ['noise', here.noise],
  ] as const)('plays the %s of a take sample for sample', async (part, expected) => {
    const there = await opened.page.evaluate(([json, which]) => window.harness.played(json, which), [
      mixed,
      part,
    ] as const)
    expect(there).toEqual({ hash: sha256(expected), silentAfter: true, problems: [] })
  })

  it.each([
    ['a ring', true, 'left', here.take.samples],
    ['posted blocks', false, 'left', here.take.samples],
    ['a ring', true, 'right', here.noise],
  ] as const)(
    'taps through %s (shared %s) the %s channel, and a method reads the same',
    async (_, shared, channel, expected) => {
      const there = await opened.page.evaluate(([json, which, way]) => window.harness.tapped(json, which, way, 'yin'), [
        mixed,
        channel,
        shared,
      ] as const)
      expect(there).toMatchObject({ hash: sha256(expected), lostSamples: 0, problems: [] })
      // Whole quanta are rendered: the last one is filled up with silence.
      expect(there.count).toBe(128 * Math.ceil(expected.length / 128))
      const stream = { sampleRateHz: 48_000, lowestHz: 30, highestHz: 1400, targetHz: null, room: null }
      const own = listen(methodById('yin'), expected, stream)
      if (channel === 'left') expect(own.filter((reading) => !Number.isNaN(reading.f0Hz)).length).toBeGreaterThan(50)
      expectSameReadings(there.readings, own)
    },
  )

  it.each([true, false])('counts every sample that a late reader loses (shared %s)', async (shared) => {
    const there = await opened.page.evaluate(([json, way]) => window.harness.overrun(json, way), [
      mixed,
      shared,
    ] as const)
    expect(there.lostSamples).toBeGreaterThan(0)
    expect(there.count + there.lostSamples).toBe(128 * Math.ceil(here.take.samples.length / 128))
  })

  it('runs trials on workers with the scores of Node', async () => {
    const trials = [1, 5, 9]
    const there = await opened.page.evaluate(([given, indexes]) => window.harness.ran(given, indexes, 2), [
      study,
      trials,
    ] as const)
    expect(there.end).toEqual({ done: 3, cancelled: false, problems: [] })
    const own = openStudy(study, new Map())
    for (const [i, index] of trials.entries()) expectSameOutcomes(there.outcomes[i], own.run(index).outcomes)
  })

  it('replays a trial with the samples and scores of Node', async () => {
    const there = await opened.page.evaluate((given) => window.harness.replayed(given, 4), study)
    const own = openStudy(study, new Map()).replay(4)
    expect(there?.hash).toBe(sha256(own.rendered.take.samples))
    const tracks = there?.tracks ?? []
    expect(tracks.map(({ method, readings }) => [method.id, readings])).toEqual(
      own.tracks.map(({ method, readings }) => [method.id, readings.length]),
    )
    for (const [i, { score, method }] of tracks.entries()) expectSameScore(score, own.tracks[i].score, method.id)
  })

  it('stops busy workers within the time a person waits for a cancel', async () => {
    const there = await opened.page.evaluate((given) => window.harness.cancelled(given, 2), study)
    expect(there.end).toEqual({ done: 2, cancelled: true, problems: [] })
    expect(there.tookMs).toBeLessThan(500)
  })

  it('sounds after a click, low, and tells where it is up to the end', async () => {
    await opened.page.click('#sound')
    const there = await opened.page.evaluate(() => window.harness.live)
    expect(there).toMatchObject({ state: 'running', levelDb: startLevelDb, problems: [] })
    const positions = there?.positions ?? []
    expect(positions.length).toBeGreaterThanOrEqual(3)
    expect(positions.map(([positionS]) => positionS)).toEqual(
      positions.map(([positionS]) => positionS).sort((a, b) => a - b),
    )
    expect(positions.at(-1)).toEqual([0.3, false])
  })

  it('leaves no error behind and never leaves the site', () => {
    expect(opened.problems).toEqual([])
  })
})

describe.skipIf(browserPath === null)('in Chromium without isolation', () => {
  it('taps by posted blocks of its own accord', async () => {
    const [site, browser] = await Promise.all([serveHarness(false), launchBrowser()])
    try {
      const { page, problems } = await openPage(browser, site)
      expect(await page.evaluate(() => window.harness.isolated())).toBe(false)
      const there = await page.evaluate((json) => window.harness.tapped(json, 'left', false, 'yin'), mixed)
      expect(there).toMatchObject({ hash: sha256(here.take.samples), lostSamples: 0, problems: [] })
      expect(problems).toEqual([])
    } finally {
      await browser.close()
      await site.close()
    }
  })
})

/** Equal states and counts; every figure within what two engines may differ by. */
function expectSameOutcomes(there: readonly Outcome[], own: readonly Outcome[]): void {
  expect(there.map(({ state, method }) => [state, method.id])).toEqual(
    own.map(({ state, method }) => [state, method.id]),
  )
  for (const [i, outcome] of there.entries()) {
    const expected = own[i]
    if (outcome.state !== 'scored' || expected.state !== 'scored') throw new Error(JSON.stringify(outcome))
    expectSameScore(outcome.score, expected.score, outcome.method.id)
  }
}

function expectSameScore(there: Score, own: Score, where: string): void {
  for (const [name, value] of Object.entries(own)) {
    const figure: unknown = there[name as keyof Score]
    const close = typeof value === 'number' && Math.abs((figure as number) - value) <= engineCents
    if (!close) expect(figure, `${where} ${name}`).toBe(value)
  }
}
