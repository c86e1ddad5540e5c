import { describe, expect, it, vi } from 'vitest'
import { LivePlucks, type LiveSetup } from '../../src/core/drill/liveplucks.ts'
import { fill } from '../../src/core/fields.ts'
import { displayed } from '../../src/core/methods/displayed.ts'
import { methodById } from '../../src/core/methods/index.ts'
import { listen } from '../../src/core/methods/listen.ts'
import type { Reading } from '../../src/core/methods/method.ts'
import { pluckFields } from '../../src/core/scene/scene.ts'
import { LiveMethod } from '../../src/host/livemethod.ts'
import type { ReadingsSink } from '../../src/host/livereadings.ts'

const sampleRateHz = 48_000
const setup: Omit<LiveSetup, 'sampleRateHz'> = {
  strings: [{ pluck: fill(pluckFields, { firstPartialHz: 110, decayS: 5, levelDbfs: -26 }), seed: 1 }],
  room: Float32Array.from({ length: 1000 }, (_, i) => 0.01 * Math.sin(i)),
  roomGain: 1,
}
const pluck = { kind: 'pluck', string: 0, f1Hz: 110, seed: 2 } as const

describe('the drill string worklet', () => {
  it('gives the samples of the core, obeys what comes by its port, and ends when closed', async () => {
    let made: (new (options: unknown) => unknown) | null = null
    const posted: unknown[] = []
    vi.stubGlobal('sampleRate', sampleRateHz)
    vi.stubGlobal(
      'AudioWorkletProcessor',
      class {
        readonly port = { onmessage: null, postMessage: (message: unknown) => posted.push(message) }
      },
    )
    vi.stubGlobal('registerProcessor', (_: string, processor: new (options: unknown) => unknown) => {
      made = processor
    })
    await import(new URL('../../worklets/drillstring.ts', import.meta.url).pathname)
    const open = (processorOptions: unknown) =>
      new (made as unknown as new (options: unknown) => unknown)({ processorOptions }) as {
        port: { onmessage: (event: { data: unknown }) => void }
        process(inputs: Float32Array[][], outputs: Float32Array[][]): boolean
      }
    const processor = open({ setup, commands: [pluck] })
    const core = new LivePlucks({ ...setup, sampleRateHz })
    core.obey(pluck)
    const [left, right, expected] = [0, 1, 2].map(() => new Float32Array(128))
    for (let quantum = 0; quantum < 4; quantum++) {
      if (quantum === 2) {
        processor.port.onmessage({ data: { kind: 'f1', f1Hz: 112 } })
        core.obey({ kind: 'f1', f1Hz: 112 })
      }
      expect(processor.process([], [[left, right]])).toBe(true)
      core.fill(expected)
      expect(left).toEqual(expected)
      expect(right).toEqual(expected)
    }
    processor.port.onmessage({ data: { kind: 'close' } })
    expect(processor.process([], [[left]])).toBe(false)
    expect(posted).toEqual([])

    const beyond = { ...setup.strings[0].pluck, firstPartialHz: 5000, stiffness: 0.01 }
    const broken = open({
      setup: { ...setup, strings: [{ pluck: { ...beyond, firstPartialHz: 23_000 }, seed: 1 }] },
      commands: [],
    })
    expect(broken.process([], [[left]])).toBe(false)
    expect(posted).toEqual([{ kind: 'problem', what: expect.stringContaining('23000 is above') }])
    vi.unstubAllGlobals()
  })
})

describe('a live method behind a display', () => {
  it('gives the readings of the method behind that display', () => {
    const samples = new Float32Array(sampleRateHz)
    const live = new LivePlucks({ ...setup, sampleRateHz })
    live.obey(pluck)
    live.fill(samples)
    const display = { averagingMs: 300, updateHz: 20, inRangeCents: 0, gateDb: -60 }
    const stream = { sampleRateHz, lowestHz: 30, highestHz: 1400, targetHz: null, room: null }
    const heard: Reading[] = []
    const method = new LiveMethod({ id: 'yin', values: {}, display }, stream)
    const sink: ReadingsSink = { write: (_slot, reading) => void heard.push({ ...reading }) }
    method.report(sink, 0)
    expect(method.open(0)).toBeNull()
    method.hear(samples, () => 0)
    const expected = listen(displayed(methodById('yin'), display), samples, stream)
    expect(heard.length).toBe(20)
    expect(heard).toEqual(expected)
    expect(new LiveMethod({ id: 'yin', values: {} }, stream).key).not.toBe(method.key)
  })
})
