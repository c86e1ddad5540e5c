/**
 * Runs the real worklets and workers on demand of a test, and answers plain data. What is checked is decided in Node.
 */
import { randomStream } from '../../../src/core/maths/random.ts'
import { methodById } from '../../../src/core/methods/index.ts'
import { listen } from '../../../src/core/methods/listen.ts'
import type { Reading } from '../../../src/core/methods/method.ts'
import { parseScene } from '../../../src/core/scene/parse.ts'
import { render } from '../../../src/core/scene/render.ts'
import type { Rendered } from '../../../src/core/scene/scene.ts'
import type { Outcome, Study } from '../../../src/core/study/study.ts'
import { openAudio } from '../../../src/host/audio.ts'
import { browserPort } from '../../../src/host/browserport.ts'
import type { Channel, Part } from '../../../src/host/messages.ts'
import { openPlayer } from '../../../src/host/player.ts'
import { runStudy, type StudyEnd } from '../../../src/host/pool.ts'
import { openReplayer } from '../../../src/host/replayer.ts'
import { openTap } from '../../../src/host/tap.ts'
import playerUrl from '../../../worklets/player.ts?worker&url'
import tapUrl from '../../../worklets/tap.ts?worker&url'
import { drillString } from './drill.ts'
import { heardLive } from './live.ts'
import { takes } from './takes.ts'

async function sha256(samples: Float32Array | Float64Array): Promise<string> {
  const bytes = new Uint8Array(
    samples.buffer.slice(samples.byteOffset, samples.byteOffset + samples.byteLength) as ArrayBuffer,
  )
  const digest = await crypto.subtle.digest('SHA-256', bytes)
  return Array.from(new Uint8Array(digest), (byte) => byte.toString(16).padStart(2, '0')).join('')
}

const rendered = (sceneJson: unknown): Rendered => render(parseScene(sceneJson), new Map())

const stream = (sampleRateHz: number) => ({
  sampleRateHz,
  lowestHz: 30,
  highestHz: 1400,
  targetHz: null,
  room: null,
})

const harness = {
  isolated: () => crossOriginIsolated,

  heardLive,

  drillString,

  takes,

  async hashes(sceneJson: unknown) {
    const { take, clean, noise } = rendered(sceneJson)
    return { take: await sha256(take.samples), clean: await sha256(clean), noise: await sha256(noise) }
  },

  async gaussianHash(seed: number, count: number): Promise<string> {
    const target = new Float64Array(count)
    randomStream(seed, 'check').fillGaussian(target)
    return sha256(target)
  },

  /** What leaves the player at unity, without fades, and a little more than the take. */
  async played(sceneJson: unknown, part: Part) {
    const { take, clean, noise } = rendered(sceneJson)
    const spareSamples = 1000
    const context = new OfflineAudioContext(1, take.samples.length + spareSamples, take.sampleRateHz)
    const sides = { string: clean, noise, sampleRateHz: take.sampleRateHz }
    const player = await openPlayer(playerUrl, context.destination, sides, { part, rampS: 0, playing: true })
    const problems: string[] = []
    player.onProblem((what) => problems.push(what))
    const output = (await context.startRendering()).getChannelData(0)
    const silentAfter = output.subarray(take.samples.length).every((sample) => sample === 0)
    return { hash: await sha256(output.subarray(0, take.samples.length)), silentAfter, problems }
  },

  /** What the tap hears of a two-channel source (left the take, right its noise), and what a method says of it. */
  async tapped(sceneJson: unknown, channel: Channel, shared: boolean, methodId: string) {
    const { take, noise } = rendered(sceneJson)
    const { sampleRateHz } = take
    const context = new OfflineAudioContext(2, take.samples.length, sampleRateHz)
    const buffer = context.createBuffer(2, take.samples.length, sampleRateHz)
    buffer.copyToChannel(Float32Array.from(take.samples), 0)
    buffer.copyToChannel(Float32Array.from(noise), 1)
    const source = new AudioBufferSourceNode(context, { buffer })
    // Offline rendering runs hundreds of times faster than a reader: the whole take must find room.
    const capacityS = take.samples.length / sampleRateHz
    const tap = await openTap(tapUrl, source, { channel, shared, capacityS: capacityS + 0.1 })
    const problems: string[] = []
    tap.onProblem((what) => problems.push(what))
    source.start()
    await context.startRendering()
    await tap.stop()
    const samples = new Float32Array(take.samples.length + 1000)
    const count = tap.source.read(samples)
    const heard = samples.subarray(0, take.samples.length)
    const readings: Reading[] = listen(methodById(methodId), heard, stream(sampleRateHz), {}, 128)
    return { hash: await sha256(heard), count, lostSamples: tap.source.lostSamples, readings, problems }
  },

  /** A ring far too small for the take. */
  async overrun(sceneJson: unknown, shared: boolean) {
    const { take } = rendered(sceneJson)
    const context = new OfflineAudioContext(1, take.samples.length, take.sampleRateHz)
    const source = new AudioBufferSourceNode(context, {
      buffer: context.createBuffer(1, take.samples.length, take.sampleRateHz),
    })
    const tap = await openTap(tapUrl, source, { channel: 'left', shared, capacityS: 0.05 })
    source.start()
    await context.startRendering()
    await tap.stop()
    const samples = new Float32Array(take.samples.length + 1000)
    return { count: tap.source.read(samples), lostSamples: tap.source.lostSamples }
  },

  /** Trials of a study on real workers. */
  async ran(study: Study, trials: readonly number[], jobs: number) {
    const outcomes: Outcome[][] = []
    const end: StudyEnd = await runStudy({
      study,
      recordings: new Map(),
      spawn: browserPort,
      jobs,
      trials,
      onTrial: (index, run) => {
        outcomes[trials.indexOf(index)] = [...run.outcomes]
      },
    })
    return { outcomes, end }
  },

  /** How long an abort takes while workers are busy, ms. */
  async cancelled(study: Study, afterTrials: number) {
    const stop = new AbortController()
    let done = 0
    let abortedMs = Number.NaN
    const end = await runStudy({
      study,
      recordings: new Map(),
      spawn: browserPort,
      jobs: 2,
      trials: Array.from({ length: 20 }, (_, index) => index),
      signal: stop.signal,
      onTrial() {
        if (++done < afterTrials) return
        abortedMs = performance.now()
        stop.abort()
      },
    })
    return { end, tookMs: performance.now() - abortedMs }
  },

  async replayed(study: Study, index: number) {
    const replayer = openReplayer(study, new Map(), browserPort)
    const replay = await replayer.replay(index)
    replayer.close()
    if (replay === null) return null
    return {
      hash: await sha256(replay.rendered.take.samples),
      tracks: replay.tracks.map(({ method, readings, score }) => ({ method, readings: readings.length, score })),
    }
  },

  /** Set by a click on the button: opens the loudspeaker and plays. */
  live: null as null | Promise<{ state: string; levelDb: number; positions: [number, boolean][]; problems: string[] }>,
}

async function soundOnce() {
  const audio = openAudio()
  const problems: string[] = []
  const positions: [number, boolean][] = []
  if (audio.state !== 'running') await audio.resume()
  const string = Float32Array.from({ length: 14_400 }, (_, i) => 0.1 * Math.sin((2 * Math.PI * 220 * i) / 48_000))
  const take = { string, noise: new Float32Array(string.length), sampleRateHz: 48_000 }
  const player = await openPlayer(playerUrl, audio.output, take, { part: 'mix' })
  player.onProblem((what) => problems.push(what))
  await new Promise<void>((resolve) => {
    player.onPosition((positionS, playing) => {
      positions.push([positionS, playing])
      if (!playing) resolve()
    })
    player.play()
  })
  player.close()
  const { state, levelDb } = audio
  await audio.close()
  return { state, levelDb, positions, problems }
}

document.querySelector('#sound')?.addEventListener('click', () => {
  harness.live = soundOnce()
})

declare global {
  interface Window {
    harness: typeof harness
  }
}
window.harness = harness
