import { describe, expect, it } from 'vitest'
import { methodById } from '../../src/core/methods/index.ts'
import { listen } from '../../src/core/methods/listen.ts'
import type { Reading } from '../../src/core/methods/method.ts'
import type { BlockSource } from '../../src/host/blocks.ts'
import { type Dropped, LiveHearing } from '../../src/host/livehearing.ts'
import type { LiveStream } from '../../src/host/livemessages.ts'
import type { ReadingsSink } from '../../src/host/livereadings.ts'
import { RingReader, RingWriter, ringBytes } from '../../src/host/ring.ts'

const sampleRateHz = 48_000
const stream: LiveStream = { lowestHz: 30, highestHz: 1400, targetHz: 110, room: null }

const tone = (count: number, hz = 110): Float32Array =>
  Float32Array.from({ length: count }, (_, i) => 0.3 * Math.sin((2 * Math.PI * hz * i) / sampleRateHz))

class Kept implements ReadingsSink {
  readonly bySlot = new Map<number, Reading[]>()
  write(slot: number, reading: Readonly<Reading>, startSample: number): void {
    const { fromSample, toSample, atSample } = reading
    const moved = {
      ...reading,
      fromSample: fromSample + startSample,
      toSample: toSample + startSample,
      atSample: atSample + startSample,
    }
    this.bySlot.set(slot, [...(this.bySlot.get(slot) ?? []), moved])
  }
  of(slot: number): Reading[] {
    return this.bySlot.get(slot) ?? []
  }
}

function bench(ringSamples = 2 ** 15, now = () => 0) {
  const memory = new ArrayBuffer(ringBytes(ringSamples))
  const writer = new RingWriter(memory)
  const dropped: Dropped[] = []
  const hearing = new LiveHearing(new RingReader(memory), { sampleRateHz, keepS: 1, thin: true }, now, (one) =>
    dropped.push(one),
  )
  /** Writes quanta, and hears after every `heardEvery`-th. */
  const play = (samples: Float32Array, heardEvery = 4) => {
    for (let at = 0, quantum = 1; at < samples.length; at += 128, quantum++) {
      writer.write(samples.subarray(at, at + 128), 128)
      if (quantum % heardEvery === 0) while (hearing.hear());
    }
    while (hearing.hear());
  }
  return { writer, hearing, dropped, play }
}

const choices = ['yin', 'spectral-peak', 'partial-fit'].map((id) => ({ id, values: {} }))
const own = (id: string, samples: Float32Array): Reading[] =>
  listen(methodById(id), samples, {
    ...stream,
    targetHz: methodById(id).family === 'aimed' ? stream.targetHz : null,
    sampleRateHz,
  })
const moved = (readings: readonly Reading[], by: number): Reading[] =>
  readings.map((one) => ({
    ...one,
    fromSample: one.fromSample + by,
    toSample: one.toSample + by,
    atSample: one.atSample + by,
  }))

describe('methods heard live', () => {
  it.each([1, 4, 100])('read what they read of a whole take (heard every %i quanta)', (heardEvery) => {
    const { hearing, dropped, play } = bench()
    const kept = new Kept()
    hearing.choose(choices, stream, kept)
    const samples = tone(24_064)
    play(samples, heardEvery)
    for (const [slot, { id }] of choices.entries()) {
      expect(own(id, samples).length).toBeGreaterThan(30)
      expect(kept.of(slot)).toEqual(own(id, samples))
    }
    expect(dropped).toEqual([])
    expect(hearing.status()).toMatchObject({ heardSamples: 24_064, lostSamples: 0, skippedSamples: 0, gaps: 0 })
    expect(hearing.status().methods[0]).toMatchObject({
      id: 'yin',
      hops: kept.of(0).length,
      skippedHops: 0,
      thinned: 1,
    })
  })

  it('begin anew after a gap that the audio thread left, at the right place', () => {
    const { writer, hearing, play } = bench()
    const kept = new Kept()
    hearing.choose(choices.slice(0, 1), stream, kept)
    play(tone(9_600))
    writer.lose(1280)
    while (hearing.hear());
    const after = tone(9_600, 220)
    play(after)
    expect(hearing.status()).toMatchObject({ heardSamples: 19_200, lostSamples: 1280, skippedSamples: 0, gaps: 1 })
    expect(kept.of(0)).toEqual([...own('yin', tone(9_600)), ...moved(own('yin', after), 10_880)])
    // What is kept does not reach over the gap.
    const snapshot = hearing.snapshot(1)
    expect(snapshot.startSample).toBe(10_880)
    expect(snapshot.samples).toEqual(after)
  })

  it('come back to the present after a ring ran over: what was held is skipped, and every sample is counted', () => {
    const { writer, hearing, play } = bench(4096)
    const kept = new Kept()
    hearing.choose(choices.slice(0, 1), stream, kept)
    const late = tone(12_800)
    for (let at = 0; at < late.length; at += 128) writer.write(late.subarray(at, at + 128), 128)
    while (hearing.hear());
    // 4096 found room, the other 8704 did not.
    expect(hearing.status()).toMatchObject({ heardSamples: 0, lostSamples: 8704, skippedSamples: 4096, gaps: 1 })
    const after = tone(9_600)
    play(after)
    expect(kept.of(0)).toEqual(moved(own('yin', after), 12_800))
  })

  it('look again when something is lost while they catch up', () => {
    // Losses appear between the looks: 1 after the first read, 2 after the next ones.
    const script: [number, number][] = [
      [128, 128],
      [128, 128],
      [0, 384],
      [128, 384],
      [0, 384],
      [256, 384],
      [0, 384],
    ]
    let at = -1
    const source: BlockSource = {
      read: (target) => {
        at = Math.min(at + 1, script.length - 1)
        target.fill(0.5, 0, script[at][0])
        return script[at][0]
      },
      get lostSamples() {
        return at < 0 ? 0 : script[at][1]
      },
    }
    const hearing = new LiveHearing(
      source,
      { sampleRateHz, keepS: 1, thin: true },
      () => 0,
      () => {},
    )
    while (hearing.hear());
    expect(hearing.status()).toMatchObject({ heardSamples: 256, lostSamples: 384, skippedSamples: 384, gaps: 1 })
    expect(hearing.snapshot(1)).toEqual({ startSample: 768, samples: new Float32Array(256).fill(0.5) })
  })

  it('may be changed while they run: what stays goes on unbroken, what is new begins now', () => {
    const { hearing, play } = bench()
    const [first, second] = [new Kept(), new Kept()]
    const samples = tone(19_200)
    hearing.choose([choices[0], choices[1]], stream, first)
    play(samples.subarray(0, 9_600))
    // Another string in hand: yin is not told, partial-fit is new.
    hearing.choose([choices[2], choices[0]], { ...stream, targetHz: 112 }, second)
    play(samples.subarray(9_600))
    expect([...first.of(0), ...second.of(1)]).toEqual(own('yin', samples))
    expect(second.of(0)[0].fromSample).toBeGreaterThanOrEqual(9_600)
    expect(hearing.status()).toMatchObject({ heardSamples: 19_200, gaps: 0 })
  })

  it('go on without one that cannot be opened or throws, told once', () => {
    const { hearing, dropped, play } = bench()
    const kept = new Kept()
    hearing.choose(
      [
        { id: 'partial-fit', values: {} },
        { id: 'nothing', values: {} },
        { id: 'yin', values: { hop: 1e9 } },
        choices[0],
      ],
      { ...stream, targetHz: null },
      kept,
    )
    play(tone(9_600))
    expect(dropped.map(({ slot, id }) => [slot, id])).toEqual([
      [0, 'partial-fit'],
      [1, 'nothing'],
      [2, 'yin'],
    ])
    expect(kept.of(3)).toEqual(own('yin', tone(9_600)))
    const { methods } = hearing.status()
    expect(methods.map(({ problem }) => problem === null)).toEqual([false, false, false, true])
  })

  it('drop one whose readings cannot be written, and no other', () => {
    const { hearing, dropped, play } = bench()
    const kept = new Kept()
    const failing: ReadingsSink = {
      write(slot, reading, startSample) {
        if (slot === 0) throw new Error('slot 0 is full')
        kept.write(slot, reading, startSample)
      },
    }
    hearing.choose(choices.slice(0, 2), stream, failing)
    play(tone(9_600))
    expect(dropped).toEqual([{ slot: 0, id: 'yin', what: 'slot 0 is full' }])
    expect(kept.of(1)).toEqual(own('spectral-peak', tone(9_600)))
  })

  it('thin the most expensive one while there is too little time, count what it leaves out, and give it back', () => {
    // The clock of the test: hearing 10.67 ms of sound with yin takes 12 ms, or 1 ms once it is told to be quick.
    let nowMs = 0
    let slow = true
    const { hearing, play } = bench(2 ** 15, () => nowMs)
    const sink: ReadingsSink = {
      write(slot) {
        nowMs += slot === 0 && slow ? 12 : 0.1
      },
    }
    hearing.choose(choices.slice(0, 2), stream, sink)
    // Time goes on with the sound.
    const second = (seconds: number) => {
      const samples = tone(sampleRateHz * seconds)
      for (let at = 0; at < samples.length; at += 512) {
        const fromMs = nowMs
        play(samples.subarray(at, at + 512))
        nowMs = Math.max(nowMs, fromMs + (1000 * 512) / sampleRateHz)
      }
    }
    second(3)
    const crowdedStatus = hearing.status()
    expect(crowdedStatus.methods[0].thinned).toBe(2)
    expect(crowdedStatus.methods[1]).toMatchObject({ thinned: 1, skippedHops: 0 })
    // Every reading since then stands for one that was left out.
    expect(crowdedStatus.methods[0].skippedHops).toBeGreaterThan(40)
    expect(crowdedStatus.load).toBeLessThan(0.8)
    slow = false
    second(6)
    expect(hearing.status().methods[0].thinned).toBe(1)
  })
})
