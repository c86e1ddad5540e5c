/**
 * Methods live on a take that a worklet plays, with a picture of their readings drawn at every frame as a page would.
 * Answers plain data; what is right is decided in Node.
 */
import { parseScene } from '../../../src/core/scene/parse.ts'
import { render } from '../../../src/core/scene/render.ts'
import { type DroppedMethod, openLive } from '../../../src/host/live.ts'
import type { LiveChoice, LiveStatus, LiveStream, Snapshot } from '../../../src/host/livemessages.ts'
import { browserLivePort } from '../../../src/host/liveport.ts'
import { LiveView } from '../../../src/host/liveview.ts'
import { openPlayer } from '../../../src/host/player.ts'
import playerUrl from '../../../worklets/player.ts?worker&url'
import tapUrl from '../../../worklets/tap.ts?worker&url'

export interface LiveRun {
  readonly sceneJson: unknown
  readonly chosen: readonly LiveChoice[]
  readonly stream: LiveStream
  readonly shared: boolean
  readonly thin: boolean
  /** How long it listens; the take is played again and again. */
  readonly seconds: number
  /** Readings that ended before this are kept, for comparing. */
  readonly keptS: number
  /** After so many seconds these are chosen instead; what is kept then is theirs. */
  readonly later?: { readonly afterS: number; readonly chosen: readonly LiveChoice[] }
}

export interface LiveHeard {
  readonly shared: boolean
  readonly sampleRateHz: number
  readonly status: LiveStatus | null
  readonly problems: readonly string[]
  readonly dropped: readonly DroppedMethod[]
  /** A slot each: toSample, f0Hz pairs. */
  readonly readings: readonly (readonly [number, number])[][]
  /** From the first sample on, as plain numbers. */
  readonly snapshot: { readonly startSample: number; readonly samples: readonly number[] }
  readonly claims: readonly (number | null)[]
  readonly frames: number
  /** Tasks of 50 ms and more on the page's thread while it listened. */
  readonly longTasksMs: readonly number[]
  readonly elapsedS: number
  /** Samples the audio clock went through. */
  readonly clockSamples: number
}

/** A row a method: digits and the last five readings on a line of cents, about what a live page draws. */
function draw(context: CanvasRenderingContext2D, view: LiveView, aimHz: number): void {
  const { width, height } = context.canvas
  context.fillStyle = '#0d0f12'
  context.fillRect(0, 0, width, height)
  const rowHeight = height / view.rows.length
  for (const [slot, row] of view.rows.entries()) {
    const y = (slot + 0.5) * rowHeight
    context.strokeStyle = '#8a919b'
    context.strokeRect(width / 4, y - rowHeight / 3, width / 2, (2 * rowHeight) / 3)
    context.fillStyle = '#f1ede4'
    context.font = '28px system-ui'
    context.fillText(Number.isNaN(row.f0Hz) ? '–' : row.f0Hz.toFixed(2), 8, y + 10)
    context.fillText(
      Number.isNaN(row.steadySinceS) ? '' : `steady since ${row.steadySinceS.toFixed(1)} s`,
      width * 0.76,
      y + 10,
    )
    for (let i = row.lastHz.length - 1; i >= 0; i--) {
      const cents = 1200 * Math.log2(row.lastHz[i] / aimHz)
      if (!(Math.abs(cents) < 50)) continue
      context.beginPath()
      context.arc(width / 2 + (cents * width) / 200, y, 6.5 - i * 0.6, 0, 2 * Math.PI)
      context.fill()
    }
  }
}

const after = (ms: number) => new Promise((done) => setTimeout(done, ms))

export async function heardLive(run: LiveRun): Promise<LiveHeard> {
  const { take } = render(parseScene(run.sceneJson), new Map())
  const audio = new AudioContext({ sampleRate: take.sampleRateHz, latencyHint: 'playback' })
  await audio.resume()
  // The sound goes to the methods, not to the loudspeaker.
  const source = audio.createGain()
  const sides = { string: take.samples, noise: new Float32Array(take.samples.length), sampleRateHz: take.sampleRateHz }
  const player = await openPlayer(playerUrl, source, sides, { part: 'string', rampS: 0 })
  player.loop(true)
  const live = await openLive(tapUrl, source, browserLivePort, { channel: 'left', shared: run.shared, thin: run.thin })
  const problems: string[] = []
  const dropped: DroppedMethod[] = []
  let status: LiveStatus | null = null
  player.onProblem((what) => problems.push(`player: ${what}`))
  live.onProblem((what) => problems.push(what))
  live.onDropped((one) => dropped.push(one))
  live.onStatus((told) => {
    status = told
  })

  let chosen = run.chosen
  const choose = () => {
    const reader = live.choose(chosen, run.stream)
    const view = new LiveView(reader, live.sampleRateHz, { spanCents: 6, holdS: 0.25, tolCents: 5 })
    const readings = chosen.map((): [number, number][] => [])
    return { reader, view, readings, kept: chosen.map(() => 0) }
  }
  let listening = choose()

  const canvas = document.createElement('canvas')
  canvas.width = 1200
  canvas.height = 800
  document.body.append(canvas)
  const picture = canvas.getContext('2d') as CanvasRenderingContext2D
  let frames = 0
  let drawing = true
  const frame = () => {
    if (!drawing) return
    frames++
    const { reader, view, readings, kept } = listening
    view.update()
    for (let slot = 0; slot < chosen.length; slot++) {
      if (kept[slot] < 0) continue
      const last = reader.since(slot, kept[slot], ({ toSample, f0Hz }) => {
        if (toSample < run.keptS * live.sampleRateHz) readings[slot].push([toSample, f0Hz])
        else kept[slot] = -1
      })
      if (kept[slot] >= 0) kept[slot] = last
    }
    draw(picture, view, run.stream.targetHz ?? 110)
    requestAnimationFrame(frame)
  }
  requestAnimationFrame(frame)

  const longTasksMs: number[] = []
  const watcher = new PerformanceObserver((list) => {
    for (const entry of list.getEntries()) longTasksMs.push(entry.duration)
  })
  watcher.observe({ type: 'longtask' })
  const fromMs = performance.now()
  const fromClockS = audio.currentTime
  player.play()
  let snapshot: Snapshot | null = null
  let leftMs = 1000 * run.seconds
  if (run.later !== undefined) {
    leftMs -= 1000 * run.later.afterS
    await after(1000 * run.later.afterS)
    chosen = run.later.chosen
    listening = choose()
  }
  const keptMs = Math.min(leftMs, 1000 * run.keptS + 500)
  await after(keptMs)
  if (run.keptS > 0) snapshot = await live.snapshot(20)
  await after(leftMs - keptMs)
  const elapsedS = (performance.now() - fromMs) / 1000
  const clockSamples = Math.round((audio.currentTime - fromClockS) * live.sampleRateHz)
  watcher.disconnect()
  await live.close()
  drawing = false
  // Closing hears what was still under way.
  const { view, readings } = listening
  view.update()
  player.close()
  await audio.close()
  canvas.remove()
  const claims = view.rows.map((row) => row.claim?.f0Hz ?? null)
  return {
    shared: live.shared,
    sampleRateHz: live.sampleRateHz,
    status,
    problems,
    dropped,
    readings,
    snapshot: { startSample: snapshot?.startSample ?? -1, samples: Array.from(snapshot?.samples ?? []) },
    claims,
    frames,
    longTasksMs,
    elapsedS,
    clockSamples,
  }
}
