import { afterEach, beforeEach, describe, expect, it, vi } from 'vitest'
import { type AudioState, openAudio, startLevelDb } from '../../src/host/audio.ts'

/** As much of an audio context as the host touches; its clock runs when the test moves it. */
class FakeContext {
  state: string = 'running'
  currentTime = 0
  onstatechange: (() => void) | null = null
  readonly destination = {}
  readonly aims: [number, number, number][] = []
  readonly gain = {
    gain: {
      value: 1,
      setTargetAtTime: (aim: number, at: number, constant: number) => this.aims.push([aim, at, constant]),
    },
    connect: vi.fn(),
  }
  resumes: () => Promise<void> = async () => this.become('running')
  createGain() {
    return this.gain
  }
  become(state: string) {
    this.state = state
    this.onstatechange?.()
  }
  resume() {
    return this.resumes()
  }
  async close() {
    this.become('closed')
  }
}

beforeEach(() => void vi.useFakeTimers())
afterEach(() => void vi.useRealTimers())

function opened() {
  const context = new FakeContext()
  const audio = openAudio(() => context as unknown as AudioContext)
  const states: AudioState[] = []
  audio.onState((state) => states.push(state))
  return { context, audio, states }
}

describe('openAudio', () => {
  it('starts low and stays between its limits', () => {
    const { context, audio } = opened()
    expect(context.gain.connect).toHaveBeenCalledWith(context.destination)
    expect(audio.levelDb).toBe(startLevelDb)
    // 10^(-30/20), worked by hand: 0.0316228.
    expect(context.gain.gain.value).toBeCloseTo(0.0316228, 7)
    expect([12, -200, Number.NaN, -20].map((levelDb) => audio.setLevelDb(levelDb))).toEqual([0, -80, startLevelDb, -20])
    const gains = context.aims.map(([aim]) => aim)
    expect(Math.max(...gains)).toBe(1)
    expect(gains.at(-1)).toBeCloseTo(0.1, 15)
    expect(context.aims.every(([, , constant]) => constant > 0)).toBe(true)
  })

  it('tells a clock that stands still within two seconds, and when it goes on', () => {
    const { context, audio, states } = opened()
    for (let s = 1; s <= 3; s++) {
      context.currentTime = s
      vi.advanceTimersByTime(1000)
    }
    expect(states).toEqual([])
    vi.advanceTimersByTime(2000)
    expect(states).toEqual(['frozen'])
    context.currentTime = 4
    vi.advanceTimersByTime(1000)
    expect(states).toEqual(['frozen', 'running'])
    expect(audio.state).toBe('running')
  })

  it('tells an interruption as suspended, and resumes', async () => {
    const { context, audio, states } = opened()
    context.become('interrupted')
    expect(audio.state).toBe('suspended')
    expect(await audio.resume()).toBe(true)
    expect(states).toEqual(['suspended', 'running'])
  })

  it('answers false when the browser refuses or never answers', async () => {
    const { context, audio } = opened()
    context.become('suspended')
    context.resumes = () => Promise.reject(new Error('not allowed'))
    expect(await audio.resume()).toBe(false)
    context.resumes = () => new Promise(() => {})
    const answer = audio.resume()
    await vi.advanceTimersByTimeAsync(1000)
    expect(await answer).toBe(false)
  })

  it('closes once and watches no more', async () => {
    const { audio, states } = opened()
    await audio.close()
    await audio.close()
    expect(states).toEqual(['closed'])
    expect(vi.getTimerCount()).toBe(0)
  })
})
