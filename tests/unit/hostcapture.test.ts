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
  let listed = ['a', 'b']
  let deviceChange = async () => {}
  /** What the analyser sees. */
  const sound = { level: 1 }
  const media = {
    addEventListener(_: string, handler: () => Promise<void>) {
      deviceChange = handler
    },
    removeEventListener() {
      deviceChange = async () => {}
    },
    async getUserMedia({ audio }: { audio: { deviceId?: { exact: string } } }) {
      asked.push(audio)
      const track = makeTrack(audio.deviceId?.exact ?? 'a')
      tracks.push(track)
      return { getAudioTracks: () => [track], getTracks: () => [track] }
    },
    async enumerateDevices() {
      return listed.map((deviceId) => ({ kind: 'audioinput', deviceId, label: deviceId }))
    },
  }
  const context = {
    sampleRate,
    state: 'running',
    currentTime: 0,
    onstatechange: () => {},
    createMediaStreamSource: () => ({ connect() {} }),
    createAnalyser: () => ({
      fftSize: 0,
      getFloatTimeDomainData(target: Float32Array) {
        for (let i = 0; i < target.length; i++) target[i] = sound.level * ((i % 2) - 0.5)
      },
    }),
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
    sound,
    async list(ids: string[]) {
      listed = ids
      await deviceChange()
      await vi.advanceTimersByTimeAsync(0)
    },
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

it('goes on after Resume where the clock goes on, and asks to be opened anew where it does not', async () => {
  const { context, open } = stage()
  const capture = await open('')
  await vi.advanceTimersByTimeAsync(1000)
  expect(capture.state).toMatchObject({ kind: 'frozen', mend: 'resume' })
  context.resume = async () => {
    context.currentTime += 0.1
  }
  const went = capture.resume()
  await vi.advanceTimersByTimeAsync(1000)
  expect(await went).toBe(true)
  expect(capture.state.kind).toBe('listening')

  context.resume = async () => {}
  await vi.advanceTimersByTimeAsync(2000)
  const stayed = capture.resume()
  await vi.advanceTimersByTimeAsync(3000)
  expect(await stayed).toBe(false)
  expect(capture.state.kind).toBe('frozen')

  // A browser may leave the promise open for good.
  context.state = 'interrupted'
  context.onstatechange()
  expect(capture.state).toMatchObject({ kind: 'suspended', mend: 'resume' })
  context.resume = () => new Promise(() => {})
  const never = capture.resume()
  await vi.advanceTimersByTimeAsync(3000)
  expect(await never).toBe(false)
  await capture.close()
})

it('notices an input that is silent, lost or gone without any event', async () => {
  const { context, sound, tracks, open } = stage()
  const capture = await open('')
  const told: string[] = []
  capture.onState(({ kind, mend }) => told.push(`${kind} ${mend}`))
  const seconds = async (count: number) => {
    for (let half = 0; half < 2 * count; half++) {
      context.currentTime += 0.5
      await vi.advanceTimersByTimeAsync(500)
    }
  }
  await seconds(10)
  expect(told).toEqual([])
  sound.level = 0
  await seconds(2.5)
  expect(told).toEqual([])
  await seconds(1)
  expect(told).toEqual(['silent reconnect'])
  sound.level = 1
  await seconds(0.5)
  // A muted track gives silence of its own: that is told as what it is.
  tracks[0].muted = true
  sound.level = 0
  await seconds(5)
  tracks[0].muted = false
  await seconds(0.5)
  tracks[0].readyState = 'ended'
  await seconds(0.5)
  expect(told.slice(1)).toEqual(['listening null', 'muted reconnect', 'listening null', 'ended reconnect'])
  expect(await capture.resume()).toBe(false)
  await capture.close()
})

it('takes a device that is no longer listed for gone, until it is listed again', async () => {
  const { list, open } = stage()
  const capture = await open('b')
  const lists: string[][] = []
  capture.onDevices(() => lists.push(capture.devices.map(({ deviceId }) => deviceId)))
  await list(['a', 'b', 'c'])
  expect(capture.state.kind).toBe('listening')
  await list(['a'])
  expect(capture.state).toMatchObject({ kind: 'ended', mend: 'reconnect' })
  expect(capture.again).toEqual({ id: 'b', label: 'b' })
  await list(['a', 'b'])
  expect(capture.state.kind).toBe('listening')
  expect(lists).toEqual([['a', 'b', 'c'], ['a'], ['a', 'b']])
  await capture.close()
})

it('hears the default input, loudly, where the one that was meant does not open', async () => {
  const { media, tracks, open } = stage()
  const { getUserMedia } = media
  media.getUserMedia = async (wish) => {
    if (wish.audio.deviceId?.exact === 'b') throw new DOMException('', 'OverconstrainedError')
    return getUserMedia(wish)
  }
  const capture = await open('b')
  expect(capture.label).toBe('a')
  expect(capture.notes).toEqual([expect.stringMatching(/no such input is there.*default input is heard instead/)])
  expect(tracks.map(({ readyState }) => readyState)).toEqual(['live'])
  await capture.close()
})
