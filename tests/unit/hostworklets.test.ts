import { beforeEach, describe, expect, it, vi } from 'vitest'
import type { FromPlayer, FromTap, PlayerOptions, TapOptions, ToPlayer, ToTap } from '../../src/host/messages.ts'
import { RingReader, ringBytes } from '../../src/host/ring.ts'

/** The audio thread's scope as far as the worklets use it. */
interface Scope {
  currentFrame: number
  sampleRate: number
}
const scope = globalThis as unknown as Scope

interface Processor<In, Out> {
  readonly port: { onmessage: (event: { data: In }) => void; postMessage: (message: Out) => void }
  process(inputs: Float32Array[][], outputs: Float32Array[][]): boolean
}

const posted: unknown[] = []
const registered = new Map<string, new (options: unknown) => unknown>()

beforeEach(async () => {
  posted.length = 0
  scope.currentFrame = 0
  scope.sampleRate = 48000
  if (registered.size > 0) return
  vi.stubGlobal(
    'AudioWorkletProcessor',
    class {
      readonly port = { onmessage: null, postMessage: (message: unknown) => posted.push(message) }
    },
  )
  vi.stubGlobal('registerProcessor', (name: string, made: new (options: unknown) => unknown) => {
    registered.set(name, made)
  })
  // Addressed as files: the worklets are checked against the audio thread's types, not against those of a page.
  for (const name of ['tap', 'player']) await import(new URL(`../../worklets/${name}.ts`, import.meta.url).pathname)
})

function open<In, Out>(name: string, processorOptions: unknown): Processor<In, Out> {
  const made = registered.get(name)
  if (made === undefined) throw new Error(`${name} is not registered`)
  return new made({ processorOptions }) as Processor<In, Out>
}

const quantum = (start: number): Float32Array => Float32Array.from({ length: 128 }, (_, i) => start + i)

describe('tap', () => {
  const ring = () => new SharedArrayBuffer(ringBytes(1024))
  const tap = (options: Partial<TapOptions>) =>
    open<ToTap, FromTap>('tap', { channel: 'left', ring: null, blockSamples: 200, blocks: 4, ...options })

  function heard(memory: SharedArrayBuffer): { samples: number[]; lostSamples: number } {
    const reader = new RingReader(memory)
    const target = new Float32Array(1024)
    return { samples: [...target.subarray(0, reader.read(target))], lostSamples: reader.lostSamples }
  }

  it('hands its input to the ring, and counts what the audio thread left out', () => {
    const memory = ring()
    const processor = tap({ ring: memory })
    // The first quantum need not be frame 0: a tap may be opened while the context runs.
    for (const frame of [256, 384, 896]) {
      scope.currentFrame = frame
      expect(processor.process([[quantum(frame)]], [])).toBe(true)
    }
    expect(heard(memory)).toEqual({
      samples: [...quantum(256), ...quantum(384), ...quantum(896)],
      lostSamples: 896 - 512,
    })
    expect(posted).toEqual([])
  })

  it('hears left, right or the mean of two channels, and the only one of one', () => {
    const left = quantum(0)
    const right = quantum(1000)
    const cases: [Partial<TapOptions>, Float32Array[], Float32Array][] = [
      [{ channel: 'left' }, [left, right], left],
      [{ channel: 'right' }, [left, right], right],
      [{ channel: 'mix' }, [left, right], quantum(500)],
      [{ channel: 'right' }, [left], left],
      [{ channel: 'mix' }, [left], left],
      [{ channel: 'mix' }, [], new Float32Array(128)],
    ]
    for (const [options, input, expected] of cases) {
      const memory = ring()
      tap({ ...options, ring: memory }).process([input], [])
      expect(heard(memory).samples).toEqual([...expected])
    }
  })

  it('posts blocks where there is no ring, the rest at the stop, and ends', () => {
    const processor = tap({})
    processor.process([[quantum(0)]], [])
    scope.currentFrame = 128
    processor.process([[quantum(128)]], [])
    expect(posted).toMatchObject([{ kind: 'block', count: 200, lostSamples: 0 }])
    processor.port.onmessage({ data: { kind: 'stop' } })
    expect(posted.slice(1)).toMatchObject([
      { kind: 'block', count: 56 },
      { kind: 'stopped', lostSamples: 0 },
    ])
    const samples = (posted.slice(0, 2) as Extract<FromTap, { kind: 'block' }>[]).flatMap((block) => [
      ...block.samples.subarray(0, block.count),
    ])
    expect(samples).toEqual([...quantum(0), ...quantum(128)])
    expect(processor.process([[quantum(256)]], [])).toBe(false)
    expect(posted.length).toBe(3)
  })

  it('posts one problem and is silent from then on', () => {
    const memory = ring()
    const processor = tap({ ring: memory })
    processor.process(null as unknown as Float32Array[][], [])
    processor.process(null as unknown as Float32Array[][], [])
    processor.port.onmessage({ data: { kind: 'sing' } as unknown as ToTap })
    expect(posted.length).toBe(1)
    expect(posted).toMatchObject([{ kind: 'problem', what: expect.stringContaining('TypeError') }])
    expect(processor.process([[quantum(0)]], [])).toBe(false)
    expect(heard(memory).samples).toEqual([])
  })

  it('names a message it does not know', () => {
    tap({}).port.onmessage({ data: { kind: 'sing' } as unknown as ToTap })
    expect(posted).toEqual([{ kind: 'problem', what: 'Error: no such message: "sing"' }])
  })
})

describe('player', () => {
  const samples = Float32Array.from({ length: 48000 }, (_, i) => (i % 100) / 200)
  const player = (options: Partial<PlayerOptions>) =>
    open<ToPlayer, FromPlayer>('player', {
      string: samples,
      noise: new Float32Array(samples.length),
      part: 'mix',
      rampSamples: 0,
      playing: true,
      ...options,
    })

  function sound(processor: Processor<ToPlayer, FromPlayer>, channels = 1): Float32Array[] {
    const output = Array.from({ length: channels }, () => new Float32Array(128).fill(Number.NaN))
    processor.process([], [output])
    scope.currentFrame += 128
    return output
  }

  it('plays on every channel and says rarely where it is', () => {
    const processor = player({})
    const output = sound(processor, 2)
    expect([...output[0]]).toEqual([...samples.subarray(0, 128)])
    expect([...output[1]]).toEqual([...output[0]])
    for (let i = 1; i < 380; i++) sound(processor)
    // One second of sound and a little silence: the start, then every tenth of a second, then the end.
    const told = posted as Extract<FromPlayer, { kind: 'at' }>[]
    expect(told.length).toBeGreaterThanOrEqual(10)
    expect(told.length).toBeLessThanOrEqual(12)
    expect(told[0]).toEqual({ kind: 'at', sample: 128, playing: true })
    expect(told.at(-1)).toEqual({ kind: 'at', sample: 48000, playing: false })
  })

  it('is silent and says nothing until it is told to play', () => {
    const processor = player({ playing: false })
    expect(sound(processor)[0].every((sample) => sample === 0)).toBe(true)
    expect(posted).toEqual([])
    processor.port.onmessage({ data: { kind: 'play', fromSample: 50 } })
    expect([...sound(processor)[0]]).toEqual([...samples.subarray(50, 178)])
  })

  it('ends when it is closed', () => {
    const processor = player({})
    processor.port.onmessage({ data: { kind: 'close' } })
    expect(processor.process([], [[new Float32Array(128)]])).toBe(false)
  })

  it('posts one problem and is silent from then on', () => {
    const processor = player({})
    processor.port.onmessage({ data: { kind: 'sing' } as unknown as ToPlayer })
    processor.port.onmessage({ data: { kind: 'dance' } as unknown as ToPlayer })
    expect(posted).toEqual([{ kind: 'problem', what: 'Error: no such message: "sing"' }])
    expect(processor.process([], [[new Float32Array(128)]])).toBe(false)
    expect(posted.length).toBe(1)
  })
})
