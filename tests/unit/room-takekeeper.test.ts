/** Parts cut out of a stream: the very samples, the onset where the pluck was rendered, and every loss and overload told. */
import { describe, expect, it } from 'vitest'
import { type KeptPart, leadS, pluckTakeS, TakeKeeper } from '../../src/core/room/takekeeper.ts'
import { makeTake } from './roomtakes.ts'

const rateHz = 16_000
const made = makeTake({
  string: 'A2',
  room: 'pink',
  snrDb: 20,
  seed: 7,
  rateHz,
  noiseS: 4,
  takeS: 4.5,
  onsetS: 0.8,
})
/** As it comes in: noise, then the pluck in the same noise. */
const stream = Float32Array.from([...made.noise, ...made.samples])
const onsetAt = made.noise.length + Math.round(made.onsetS * rateHz)

interface Heard {
  readonly onsets: number[]
  readonly parts: { readonly ticket: number; readonly part: KeptPart }[]
}

function keeper(): { keeper: TakeKeeper; heard: Heard } {
  const heard: Heard = { onsets: [], parts: [] }
  return {
    heard,
    keeper: new TakeKeeper(rateHz, {
      onOnset: (ticket) => heard.onsets.push(ticket),
      onKept: (ticket, part) => heard.parts.push({ ticket, part }),
    }),
  }
}

describe('parts of a guided take', () => {
  it('cuts noise of the length asked for and a pluck about its onset, the same however the stream is cut', () => {
    const cutIn = (block: number): KeptPart[] => {
      const { keeper: own, heard } = keeper()
      own.ask(1, { kind: 'noise', lengthS: 3 })
      for (let at = 0; at < stream.length; at += block) {
        if (at >= 3.2 * rateHz && at < 3.2 * rateHz + block) own.ask(2, { kind: 'pluck', targetHz: 110, room: null })
        own.push(stream.subarray(at, at + block), 0)
      }
      expect(heard.onsets).toEqual([2])
      expect(heard.parts.map(({ ticket }) => ticket)).toEqual([1, 2])
      return heard.parts.map(({ part }) => part)
    }
    const [noise, pluck] = cutIn(128)
    expect(noise?.samples).toEqual(stream.subarray(0, 3 * rateHz))
    expect(noise).toMatchObject({ startSample: 0, onsetS: null, lostSamples: 0, overloaded: false, silent: false })
    // Within 10 ms at 20 dB: what the finder's own figures promise (tests/bench/onset.md).
    const foundAt = (pluck?.startSample ?? 0) + Math.round((pluck?.onsetS ?? 0) * rateHz)
    expect(Math.abs(foundAt - onsetAt) / rateHz).toBeLessThan(0.01)
    expect(pluck?.onsetS).toBeCloseTo(leadS, 3)
    expect((pluck?.samples.length ?? 0) / rateHz).toBeCloseTo(leadS + pluckTakeS, 3)
    const start = pluck?.startSample ?? 0
    expect(pluck?.samples).toEqual(stream.subarray(start, start + (pluck?.samples.length ?? 0)))
    expect(cutIn(1601)[0]).toEqual(noise)
  })

  it('starts nothing without a pluck, and nothing for a pluck of another note', () => {
    const { keeper: quiet, heard } = keeper()
    quiet.ask(1, { kind: 'pluck', targetHz: 110, room: null })
    quiet.push(made.noise, 0)
    expect(heard.onsets).toEqual([])
    const { keeper: other, heard: otherHeard } = keeper()
    // A tone and a third above: no partial in common within the first five.
    other.ask(1, { kind: 'pluck', targetHz: 110 * 2 ** (5.5 / 12), room: null })
    other.push(stream, 0)
    expect(otherHeard.parts).toEqual([])
  })

  it('says what was lost inside a part, and begins the wait anew for what was lost before the onset', () => {
    const { keeper: noisy, heard } = keeper()
    noisy.ask(1, { kind: 'noise', lengthS: 1 })
    noisy.push(stream.subarray(0, 8000), 0)
    noisy.push(stream.subarray(8320, 17_000), 320)
    expect(heard.parts[0]?.part.lostSamples).toBe(320)
    const { keeper: early, heard: earlyHeard } = keeper()
    early.ask(1, { kind: 'pluck', targetHz: 110, room: null })
    early.push(stream.subarray(0, 20_000), 0)
    early.push(stream.subarray(20_320), 320)
    expect(earlyHeard.parts[0]?.part).toMatchObject({ lostSamples: 0 })
    const { keeper: late, heard: lateHeard } = keeper()
    late.ask(1, { kind: 'pluck', targetHz: 110, room: null })
    const cut = onsetAt + rateHz
    late.push(stream.subarray(0, cut), 0)
    late.push(stream.subarray(cut + 320), 320)
    late.push(new Float32Array(320), 320)
    expect(lateHeard.parts[0]?.part.lostSamples).toBe(320)
  })

  it('tells overload and silence, keeps what a person says was plucked, and drops what is no longer asked for', () => {
    const { keeper: own, heard } = keeper()
    own.ask(1, { kind: 'noise', lengthS: 0.5 })
    const loud = stream.slice(0, 8000)
    loud[4000] = 1
    own.push(loud, 0)
    expect(heard.parts[0]?.part.overloaded).toBe(true)
    expect(own.meter.overloaded).toBe(true)
    own.ask(2, { kind: 'noise', lengthS: 0.5 })
    own.push(new Float32Array(8000), 0)
    expect(heard.parts[1]?.part.silent).toBe(true)
    own.ask(3, { kind: 'pluck', targetHz: 110, room: null })
    own.push(made.noise, 0)
    own.keepNow()
    expect(heard.parts[2]).toMatchObject({ ticket: 3, part: { onsetS: null, lostSamples: 0 } })
    own.keepNow()
    own.ask(4, { kind: 'noise', lengthS: 0.5 })
    own.ask(5, null)
    own.push(made.noise, 0)
    expect(heard.parts).toHaveLength(3)
  })
})
