/**
 * An input opened for listening: permission first, then names, then the device that was meant, in a context of its own.
 *
 * What the page draws is one state at a time, each with its sentence. The rate is whatever the context got; it is shown and
 * never forced. Nothing is played: the source goes to whoever listens (live.ts) and not to the loudspeaker. A device that
 * ends, is muted or is no longer listed, and a context that stops or stands still, pause the capture; what was heard stays with
 * the listener. Since events can be missed, the device, the clock and the sound itself are looked at twice a second besides.
 */
import { Problem } from '../core/problem.ts'
import { type CaptureKind, type CaptureState, captureState, isHeard } from './capturestate.ts'
import {
  type AppliedSettings,
  appliedSettings,
  audioConstraints,
  defaultId,
  type InputDevice,
  type MatchedDevice,
  matchDevice,
  missedDevice,
  rateNotes,
  type WantedDevice,
} from './devices.ts'
import { SilenceWatch } from './silence.ts'

export type { CaptureState } from './capturestate.ts'

/** A running context whose clock stands still this long is stuck. */
const frozenMs = 1000
const lookMs = 500
/**
 * Nothing is played that could come late, and what is heard may be: with 10 ms, the default for conversation, a busy machine
 * filled ten holes with zeros in 15 s, with 50 ms three (Chromium 156, two cores at load 20, one run each).
 */
const latencyHint = 0.05
/** A quantum takes 3 ms: what goes on has moved many times over by then. */
const nudgeMs = 50

export interface Capture {
  readonly context: AudioContext
  /** Where openLive listens. */
  readonly input: AudioNode
  readonly label: string
  /** What to want in order to have this very device again. */
  readonly again: WantedDevice
  readonly applied: AppliedSettings
  /** To be told beside the level: another device than meant, a low rate. */
  readonly notes: readonly string[]
  readonly state: CaptureState
  onState(handler: (state: CaptureState) => void): void
  /** Inputs of this machine, as they were last told. */
  readonly devices: readonly InputDevice[]
  onDevices(handler: () => void): void
  /** Call it from a click. False: it does not listen now and will not, open the input anew. */
  resume(): Promise<boolean>
  close(): Promise<void>
}

export type Media = Pick<MediaDevices, 'getUserMedia' | 'enumerateDevices' | 'addEventListener' | 'removeEventListener'>

/**
 * Call it from a click: asks once, never again by itself.
 * @throws Problem saying where to look when the input is refused, missing or in use.
 */
export async function openCapture(
  wanted: WantedDevice,
  media: Media = navigator.mediaDevices,
  makeContext = () => new AudioContext({ latencyHint }),
): Promise<Capture> {
  const opened = await openMeant(wanted, media)
  const { stream, match } = opened
  let context: AudioContext
  let input: AudioNode
  let silence: SilenceWatch
  try {
    context = makeContext()
    input = context.createMediaStreamSource(stream)
    silence = new SilenceWatch(context, input, performance.now())
  } catch (cause) {
    // Or the browser would go on listening for nobody.
    stop(stream)
    throw cause
  }
  const track = stream.getAudioTracks()[0]
  const settings = track.getSettings()
  const notes = [...(match.note === null ? [] : [match.note]), ...rateNotes(settings.sampleRate, context.sampleRate)]
  let devices = opened.devices

  let told: (state: CaptureState) => void = () => {}
  let toldDevices = () => {}
  let closed = false
  let listed = true
  let silent = false
  let clockS = context.currentTime
  let movedMs = performance.now()
  const frozen = (): boolean => performance.now() - movedMs >= frozenMs
  const kind = (): CaptureKind => {
    if (closed || context.state === 'closed') return 'closed'
    if (track.readyState === 'ended' || !listed) return 'ended'
    if (context.state !== 'running') return 'suspended'
    if (frozen()) return 'frozen'
    if (track.muted) return 'muted'
    return silent ? 'silent' : 'listening'
  }
  let state = captureState(kind())
  const look = () => {
    const next = captureState(kind())
    if (next.kind === state.kind) return
    state = next
    told(state)
  }
  const watch = setInterval(() => {
    const nowMs = performance.now()
    if (context.currentTime !== clockS) movedMs = nowMs
    clockS = context.currentTime
    // A clock that stands and a track that is muted give silence of their own.
    if (frozen() || track.muted || context.state !== 'running') silence.restart(nowMs)
    silent = silence.look(nowMs)
    look()
  }, lookMs)
  context.onstatechange = () => {
    movedMs = performance.now()
    look()
  }
  track.onended = look
  track.onmute = look
  track.onunmute = look
  const relist = async () => {
    const found = await media.enumerateDevices().catch(() => null)
    if (found === null || closed) return
    devices = found
    const inputs = found.filter(({ kind: one }) => one === 'audioinput')
    listed = settings.deviceId === undefined || inputs.some(({ deviceId }) => deviceId === settings.deviceId)
    look()
    toldDevices()
  }
  const changed = () => void relist()
  media.addEventListener('devicechange', changed)

  return {
    context,
    input,
    label: track.label,
    again: { id: settings.deviceId === defaultId ? '' : (settings.deviceId ?? ''), label: track.label },
    applied: appliedSettings(settings),
    notes,
    get state() {
      return state
    },
    onState(handler) {
      told = handler
    },
    get devices() {
      return devices.filter(({ kind: one }) => one === 'audioinput')
    },
    onDevices(handler) {
      toldDevices = handler
    },
    async resume() {
      if (state.mend !== 'resume') return isHeard(state)
      const fromS = context.currentTime
      await Promise.race([context.resume().catch(() => undefined), pause(frozenMs)])
      for (let ms = 0; context.currentTime === fromS && ms < frozenMs; ms += nudgeMs) await pause(nudgeMs)
      if (context.currentTime !== fromS) movedMs = performance.now()
      look()
      return isHeard(state)
    },
    async close() {
      closed = true
      clearInterval(watch)
      media.removeEventListener('devicechange', changed)
      stop(stream)
      if (context.state !== 'closed') await context.close()
      look()
    },
  }
}

const pause = (ms: number) => new Promise<void>((resolve) => setTimeout(resolve, ms))

/** Permission on whatever input comes first, then the one that was meant; should that not open, the first one stays, loudly. */
async function openMeant(
  wanted: WantedDevice,
  media: Media,
): Promise<{ stream: MediaStream; match: MatchedDevice; devices: readonly InputDevice[] }> {
  const first = await ask(media, null)
  try {
    const devices = await media.enumerateDevices()
    const match = matchDevice(wanted, devices)
    if (match.id === null || match.id === first.getAudioTracks()[0].getSettings().deviceId) {
      return { stream: first, match, devices }
    }
    try {
      const stream = await ask(media, match.id)
      stop(first)
      return { stream, match, devices }
    } catch (cause) {
      if (first.getAudioTracks()[0].readyState === 'ended') throw cause
      const why = cause instanceof Problem ? cause.message : String(cause)
      return { stream: first, match: missedDevice(wanted, why), devices }
    }
  } catch (cause) {
    stop(first)
    throw cause
  }
}

async function ask(media: Media, id: string | null): Promise<MediaStream> {
  try {
    return await media.getUserMedia({ audio: audioConstraints(id) })
  } catch (error) {
    throw new Problem(refusal(error instanceof Error ? error.name : ''), 'input')
  }
}

/** Names of W3C Media Capture and Streams, 2024, getUserMedia. */
function refusal(name: string): string {
  if (name === 'NotAllowedError')
    return 'the browser may not listen: allow the microphone for this page in the site settings beside the address, then try again'
  if (name === 'NotFoundError' || name === 'OverconstrainedError')
    return 'no such input is there: plug it in, then try again'
  if (name === 'NotReadableError') return 'another program or the system holds the input: free it, then try again'
  return `the input did not open (${name === '' ? 'no reason given' : name})`
}

function stop(stream: MediaStream): void {
  for (const track of stream.getTracks()) track.stop()
}
