import { describe, expect, it } from 'vitest'
import type { FromTap, ToTap } from '../../src/host/messages.ts'
import { BlockPoster, PostedBlocks } from '../../src/host/posted.ts'

/** Both ends joined by queues that move when the test says so; transfer is a structured clone, as between threads. */
function line(blockSamples: number, blocks: number) {
  const there: FromTap[] = []
  const back: ToTap[] = []
  const poster = new BlockPoster(
    (message, transfer) => there.push(structuredClone(message, { transfer })),
    blockSamples,
    blocks,
  )
  const source = new PostedBlocks((message, transfer) => back.push(structuredClone(message, { transfer })))
  return {
    poster,
    source,
    deliver() {
      for (const message of there.splice(0)) if (message.kind !== 'problem') source.take(message)
    },
    comeHome() {
      for (const message of back.splice(0)) if (message.kind === 'return') poster.take(message.samples)
    },
  }
}

const read = (source: PostedBlocks, atMost: number): number[] => {
  const target = new Float32Array(atMost)
  return [...target.subarray(0, source.read(target))]
}

describe('posted blocks', () => {
  it('gives the same samples whatever the cuts, the last part after finish', () => {
    const { poster, source, deliver } = line(4, 3)
    poster.write(Float32Array.of(1, 2, 3, 99), 3)
    poster.write(Float32Array.of(4, 5, 6), 3)
    deliver()
    expect(read(source, 3)).toEqual([1, 2, 3])
    expect(read(source, 3)).toEqual([4])
    poster.finish()
    poster.finish()
    deliver()
    expect(read(source, 10)).toEqual([5, 6])
    expect(read(source, 10)).toEqual([])
    expect(source.lostSamples).toBe(0)
  })

  it('loses whole blocks when none is at home, counts them, and goes on when one comes home', () => {
    const { poster, source, deliver, comeHome } = line(4, 2)
    poster.write(Float32Array.of(1, 2, 3, 4, 5, 6), 6)
    poster.write(Float32Array.of(7, 8, 9), 3)
    expect(poster.lostSamples).toBe(3)
    poster.write(Float32Array.of(10, 11), 2)
    poster.write(Float32Array.of(12), 1)
    expect(poster.lostSamples).toBe(4)
    deliver()
    expect(source.lostSamples).toBe(3)
    expect(read(source, 20)).toEqual([1, 2, 3, 4, 5, 6, 10, 11])
    comeHome()
    poster.write(Float32Array.of(13, 14, 15, 16), 4)
    deliver()
    expect(read(source, 20)).toEqual([13, 14, 15, 16])
    expect(source.lostSamples).toBe(4)
  })

  it('uses its buffers for ever and makes no new ones', () => {
    // Up to 7 samples wait in a block that is not full and 11 more come: three blocks of 8 always suffice.
    const { poster, source, deliver, comeHome } = line(8, 3)
    let next = 0
    for (let round = 0; round < 500; round++) {
      const block = Float32Array.from({ length: 1 + (round % 11) }, () => next++)
      poster.write(block, block.length)
      deliver()
      const got = read(source, 16)
      comeHome()
      expect(got.length % 8).toBe(0)
    }
    expect(poster.lostSamples).toBe(0)
  })
})
