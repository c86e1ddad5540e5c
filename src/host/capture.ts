/**
 * An input opened for listening: permission first, then names, then the device that was meant, in a context of its own.
 *
 * What the page draws is one state at a time, each with its sentence. The rate is whatever the context got; it is shown and
 * never forced. Nothing is played: the source goes to whoever listens (live.ts) and not to the loudspeaker. A device that
 * ends or is muted, and a context that stops or stands still, pause the capture; what was heard stays with the listener.
 * Events alone are trusted for devices: one that goes silent without an event is not noticed here.
 */
import { Problem } from '../core/problem.ts'
import {
  type AppliedSettings,
  appliedSettings,
  audioConstraints,
  type MatchedDevice,
  matchDevice,
  type WantedDevice,
} from './devices.ts'

/** Under it the upper partials of the thinnest strings are cut (own choice: the rate of a compact disc). */
const leastRateHz = 44_100
/** A running context whose clock stands still this long is stuck. */
const frozenMs = 1000

export type CaptureState =
  | { readonly kind: 'listening'; readonly what: string }
  | { readonly kind: 'suspended'; readonly what: string }
  | { readonly kind: 'frozen'; readonly what: string }
  | { readonly kind: 'muted'; readonly what: string }
  | { readonly kind: 'ended'; readonly what: string }
  | { readonly kind: 'closed'; readonly what: string }

export interface Capture {
  readonly context: AudioContext
  /** Where openLive listens. */
  readonly input: AudioNode
  readonly label: string
  readonly applied: AppliedSettings
  /** To be told beside the level: another device than meant, a low rate. */
  readonly notes: readonly string[]
  readonly state: CaptureState
  onState(handler: (state: CaptureState) => void): void
  /** Call it from a click. */
  resume(): Promise<void>
  close(): Promise<void>
}

export type Media = Pick<MediaDevices, 'getUserMedia' | 'enumerateDevices'>

const sentences = {
  listening: 'Listening.',
  suspended: 'The browser has paused the sound. Press Resume.',
  frozen: 'The sound has stood still for a second. Press Resume; if it stays so, reconnect the input.',
  muted: 'The system has muted this input. What was heard is kept.',
  ended: 'The input is gone. What was heard is kept. Plug it in again and reconnect.',
  closed: 'Not listening.',
} as const

/**
 * Call it from a click: asks once, never again by itself.
 * @throws Problem saying where to look when the input is refused, missing or in use.
 */
export async function openCapture(
  wanted: WantedDevice,
  media: Media = navigator.mediaDevices,
  makeContext = () => new AudioContext({ latencyHint: 'interactive' }),
): Promise<Capture> {
  let stream = await ask(media, null)
  let match: MatchedDevice
  let context: AudioContext
  let input: AudioNode
  try {
    match = matchDevice(wanted, await media.enumerateDevices())
    if (match.id !== null && match.id !== stream.getAudioTracks()[0].getSettings().deviceId) {
      stop(stream)
      stream = await ask(media, match.id)
    }
    context = makeContext()
    input = context.createMediaStreamSource(stream)
  } catch (cause) {
    // Or the browser would go on listening for nobody.
    stop(stream)
    throw cause
  }
  const track = stream.getAudioTracks()[0]
  const rate = context.sampleRate
  const notes = match.note === null ? [] : [match.note]
  if (rate < leastRateHz) notes.push(`${rate} Hz is a low rate: high partials are missing, do not calibrate here.`)

  let handler: (state: CaptureState) => void = () => {}
  let closed = false
  let frozen = false
  const kind = (): CaptureState['kind'] => {
    if (closed || context.state === 'closed') return 'closed'
    if (track.readyState === 'ended') return 'ended'
    if (context.state !== 'running') return 'suspended'
    if (frozen) return 'frozen'
    return track.muted ? 'muted' : 'listening'
  }
  const now = (): CaptureState => ({ kind: kind(), what: sentences[kind()] })
  let state = now()
  const look = () => {
    const next = now()
    if (next.kind === state.kind) return
    state = next
    handler(state)
  }
  let clockS = context.currentTime
  const watch = setInterval(() => {
    frozen = context.currentTime === clockS
    clockS = context.currentTime
    look()
  }, frozenMs)
  context.onstatechange = () => {
    clockS = Number.NaN
    frozen = false
    look()
  }
  track.onended = look
  track.onmute = look
  track.onunmute = look

  return {
    context,
    input,
    label: track.label,
    applied: appliedSettings(track.getSettings()),
    notes,
    get state() {
      return state
    },
    onState(wantedHandler) {
      handler = wantedHandler
    },
    async resume() {
      await Promise.race([context.resume().catch(() => undefined), new Promise((done) => setTimeout(done, frozenMs))])
      look()
    },
    async close() {
      closed = true
      clearInterval(watch)
      stop(stream)
      if (context.state !== 'closed') await context.close()
      look()
    },
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
