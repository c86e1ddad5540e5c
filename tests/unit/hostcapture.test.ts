/** Permission, then names, then the device; one state at a time. Browser parts are stood in for. */
import { afterEach, beforeEach, expect, it, vi } from 'vitest'
import { openCapture } from '../../src/host/capture.ts'

const off = { echoCancellation: false, noiseSuppression: false, autoGainControl: false }

function stage(sampleRate = 48_000) {
  const asked: unknown[] = []
  const makeTrack = (deviceId: string) => ({
    label: deviceId,
    readyState: 'live',
    muted: false,
    onended: () => {},
    onmute: () => {},
    getSettings: () => ({ ...off, deviceId }),
    stop() {
      this.readyState = 'ended'
    },
  })
  const tracks: ReturnType<typeof makeTrack>[] = []
  const media = {
    async getUserMedia({ audio }: { audio: { deviceId?: { exact: string } } }) {
      asked.push(audio)
      const track = makeTrack(audio.deviceId?.exact ?? 'a')
      tracks.push(track)
      return { getAudioTracks: () => [track], getTracks: () => [track] }
    },
    async enumerateDevices() {
      return ['a', 'b'].map((deviceId) => ({ kind: 'audioinput', deviceId, label: deviceId }))
    },
  }
  const context = {
    sampleRate,
    state: 'running',
    currentTime: 0,
    onstatechange: () => {},
    createMediaStreamSource: () => ({}),
    async resume() {},
    async close() {
      context.state = 'closed'
    },
  }
  return {
    asked,
    tracks,
    context,
    media,
    open: (id: string) => openCapture({ id, label: '' }, media as never, () => context as never),
  }
}

beforeEach(() => {
  vi.useFakeTimers()
})
afterEach(() => {
  vi.useRealTimers()
})

it('asks for permission, then for the device that was meant, and lets the first one go', async () => {
  const { asked, tracks, open } = stage()
  const capture = await open('b')
  expect(asked).toEqual([off, { ...off, deviceId: { exact: 'b' } }])
  expect(tracks.map(({ readyState }) => readyState)).toEqual(['ended', 'live'])
  expect(capture).toMatchObject({ label: 'b', notes: [], applied: { processed: false }, state: { kind: 'listening' } })
  await capture.close()
  expect(tracks[1].readyState).toBe('ended')
})

it('listens no longer where the sound cannot be opened', async () => {
  const { context, tracks, open } = stage()
  context.createMediaStreamSource = () => {
    throw new DOMException('', 'InvalidStateError')
  }
  await expect(open('')).rejects.toThrow(DOMException)
  expect(tracks.map(({ readyState }) => readyState)).toEqual(['ended'])
})

it('warns under 44.1 kHz', async () => {
  const capture = await stage(16_000).open('')
  expect(capture.notes).toEqual([expect.stringContaining('16000 Hz')])
  await capture.close()
})

it('tells of a frozen clock, a paused context, a muted and an ended device', async () => {
  const { context, tracks, open } = stage()
  const capture = await open('')
  const told: string[] = []
  capture.onState(({ kind }) => told.push(kind))
  vi.advanceTimersByTime(1000)
  expect(told).toEqual(['frozen'])
  context.state = 'suspended'
  context.onstatechange()
  context.state = 'running'
  context.onstatechange()
  tracks[0].muted = true
  tracks[0].onmute()
  tracks[0].readyState = 'ended'
  tracks[0].onended()
  await capture.close()
  expect(told).toEqual(['frozen', 'suspended', 'listening', 'muted', 'ended', 'closed'])
})

it('says where the setting is when permission is denied, and asks once', async () => {
  let asks = 0
  const media = {
    async getUserMedia() {
      asks++
      throw new DOMException('', 'NotAllowedError')
    },
  }
  await expect(openCapture({ id: '', label: '' }, media as never)).rejects.toThrow('site settings')
  expect(asks).toBe(1)
})
