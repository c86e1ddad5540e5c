import { afterEach, describe, expect, it } from 'vitest'
import type { FromLive, LiveStatus, ToLive } from '../../src/host/livemessages.ts'
import { ReadingsReader, readingsBytes } from '../../src/host/livereadings.ts'
import { liveServer } from '../../src/host/liveserve.ts'
import type { FromTap, ToTap } from '../../src/host/messages.ts'
import { BlockPoster } from '../../src/host/posted.ts'
import { RingWriter, ringBytes } from '../../src/host/ring.ts'

const sampleRateHz = 48_000
const stream = { lowestHz: 30, highestHz: 1400, targetHz: null, room: null }
const tone = Float32Array.from({ length: 128 * 75 }, (_, i) => 0.3 * Math.sin((2 * Math.PI * 110 * i) / sampleRateHz))

let close: () => void = () => {}
afterEach(() => close())

/** A server whose tap is the test: what arrives at the tap, what the server says, and a way to wait for it. */
function served(shared: boolean, answersStop = true) {
  const { port1: tapEnd, port2: workerEnd } = new MessageChannel()
  close = () => tapEnd.close()
  const said: FromLive[] = []
  let heard: () => void = () => {}
  const serve = liveServer((message) => {
    said.push(message)
    heard()
  })
  const ring = shared ? new SharedArrayBuffer(ringBytes(2 ** 15)) : null
  const sink = ring
    ? new RingWriter(ring)
    : new BlockPoster((message, transfer) => tapEnd.postMessage(message, transfer), 1024, 16)
  let returned = 0
  tapEnd.onmessage = ({ data }: MessageEvent<ToTap>) => {
    if (data.kind === 'return') {
      returned++
      if (sink instanceof BlockPoster) sink.take(data.samples)
    } else if (answersStop) {
      sink.finish()
      tapEnd.postMessage({ kind: 'stopped', lostSamples: sink.lostSamples } satisfies FromTap)
    }
  }
  serve({ kind: 'open', sampleRateHz, tap: workerEnd, ring, keepS: 1, thin: true })
  const until = async <K extends FromLive['kind']>(kind: K): Promise<Extract<FromLive, { kind: K }>> => {
    for (;;) {
      const found = said.find((message) => message.kind === kind)
      if (found !== undefined) return found as Extract<FromLive, { kind: K }>
      await new Promise<void>((resolve) => {
        heard = resolve
      })
    }
  }
  return { serve, said, sink, tapEnd, until, returned: () => returned }
}

const lastStatus = (said: readonly FromLive[]): LiveStatus | undefined =>
  said.filter((message) => message.kind === 'status').at(-1)?.status

describe('live server', () => {
  it.each([true, false])('hears to the end before it closes, and its readings arrive (shared %s)', async (shared) => {
    const { serve, said, sink, until, returned } = served(shared)
    const readings = shared ? new SharedArrayBuffer(readingsBytes(1)) : null
    serve({ kind: 'choose', list: 4, chosen: [{ id: 'yin', values: {} }], stream, readings })
    for (let at = 0; at < tone.length; at += 128) sink.write(tone.subarray(at, at + 128), 128)
    if (!shared) {
      // A first reading stands on four posted blocks, which came home before to be filled again.
      await until('readings')
      while (returned() < 4) await new Promise((done) => setTimeout(done, 1))
    }
    serve({ kind: 'close' })
    await until('closed')
    // 9600 samples: windows of 4096 that end at 4096, 4608 and so on to 9216.
    const ends: number[] = []
    if (readings !== null) new ReadingsReader(readings, 1).since(0, 0, ({ toSample }) => ends.push(toSample))
    for (const message of said) {
      if (message.kind !== 'readings') continue
      expect(message.list).toBe(4)
      for (let at = 0; at < message.records.length; at += 7) ends.push(message.records[at + 2])
    }
    expect(ends).toEqual(Array.from({ length: 11 }, (_, i) => 4096 + 512 * i))
    expect(lastStatus(said)).toMatchObject({ heardSamples: 9600, lostSamples: 0, methods: [{ id: 'yin', hops: 11 }] })
  })

  it('gives the last seconds on demand', async () => {
    const { serve, sink, until } = served(true)
    serve({ kind: 'choose', list: 0, chosen: [], stream, readings: new SharedArrayBuffer(readingsBytes(0)) })
    sink.write(tone, tone.length)
    await until('status')
    serve({ kind: 'snapshot', ticket: 9, lastS: 0.1 })
    const { ticket, snapshot } = await until('snapshot')
    expect(ticket).toBe(9)
    expect(snapshot).toEqual({ startSample: 4800, samples: tone.slice(4800) })
    serve({ kind: 'close' })
    await until('closed')
  })

  it('says what is wrong with the tap, and closes all the same when it never answers', async () => {
    const { serve, tapEnd, until } = served(true, false)
    tapEnd.postMessage({ kind: 'problem', what: 'the tap is broken' } satisfies FromTap)
    expect(await until('problem')).toEqual({ kind: 'problem', what: 'the tap is broken' })
    serve({ kind: 'close' })
    await until('closed')
  })

  it('says a problem for what it does not know or cannot do yet', () => {
    const said: FromLive[] = []
    const serve = liveServer((message) => said.push(message))
    serve({ kind: 'paint' } as unknown as ToLive)
    serve({ kind: 'snapshot', ticket: 1, lastS: 1 })
    expect(said).toEqual([
      { kind: 'problem', what: 'no such message: "paint"' },
      { kind: 'problem', what: 'nothing is open' },
    ])
  })
})
