import { dirname, join } from 'node:path'
import { fileURLToPath } from 'node:url'
import { Worker } from 'node:worker_threads'
import { xoroshiro128plus } from 'pure-rand/generator/xoroshiro128plus'
import { build, type Rollup } from 'vite'
import { describe, expect, it } from 'vitest'

import { RingReader, RingWriter, ringBytes } from '../../src/host/ring.ts'

const seed = 20_260_101

/** Whole numbers in [low, high]. */
function sizes(low: number, high: number): () => number {
  const generator = xoroshiro128plus(seed)
  return () => low + ((generator.next() >>> 0) % (high - low + 1))
}

/** The samples of a stream are its own numbers, exact in float32 below 2^24 and modulo that above. */
const sampleAt = (index: number): number => index % 2 ** 24

/** Where the indexes of a new ring stand, so that they pass 2^31 or 2^32 during the test. */
function ringFrom(index: number, samples: number): SharedArrayBuffer {
  const memory = new SharedArrayBuffer(ringBytes(samples))
  const indexes = new Int32Array(memory)
  indexes[0] = index
  indexes[16] = index
  return memory
}

describe('ring', () => {
  it('takes a power of two at least as large as asked for', () => {
    const headBytes = ringBytes(1) - 4
    expect([1, 2, 3, 128, 129, 192_000].map((samples) => (ringBytes(samples) - headBytes) / 4)).toEqual([
      1, 2, 4, 128, 256, 262_144,
    ])
    expect(() => ringBytes(0)).toThrow('outside 1 to')
    expect(() => ringBytes(2 ** 30 + 1)).toThrow('outside 1 to')
    expect(() => new RingReader(new ArrayBuffer(1000))).toThrow('1000 bytes are no ring')
  })

  it('works on plain memory, fills to the last place and loses a block whole', () => {
    const memory = new ArrayBuffer(ringBytes(8))
    const writer = new RingWriter(memory)
    const reader = new RingReader(memory)
    const target = new Float32Array(16)
    expect(reader.read(target)).toBe(0)
    writer.write(Float32Array.of(1, 2, 3, 4, 5), 5)
    writer.write(Float32Array.of(6, 7, 8, 9), 4)
    expect(reader.lostSamples).toBe(4)
    writer.write(Float32Array.of(10, 11, 12, 99), 3)
    expect(reader.read(target)).toBe(8)
    expect([...target.subarray(0, 8)]).toEqual([1, 2, 3, 4, 5, 10, 11, 12])
    writer.lose(128)
    expect(reader.lostSamples).toBe(132)
    expect(writer.lostSamples).toBe(132)
    expect(reader.read(target)).toBe(0)
  })

  it('never counts losses back to nothing', () => {
    const memory = new ArrayBuffer(ringBytes(8))
    const writer = new RingWriter(memory)
    writer.lose(2 ** 31 - 2)
    writer.lose(1000)
    expect(writer.lostSamples).toBe(2 ** 31 - 1)
  })

  it.each([0, 2 ** 31 - 500, -500])('gives back what went in, in odd cuts, from index %i on', (start) => {
    const memory = ringFrom(start, 64)
    const writer = new RingWriter(memory)
    const reader = new RingReader(memory)
    const size = sizes(0, 90)
    let wrote = 0
    let read = 0
    let lost = 0
    const expected: number[] = []
    for (let round = 0; round < 1000; round++) {
      const count = size()
      // Canaries: what lies behind the block is infinite and must never come out.
      const block = new Float32Array(count + 3).fill(Number.POSITIVE_INFINITY)
      for (let i = 0; i < count; i++) block[i] = sampleAt(wrote + i)
      if (count > 64 - expected.length) lost += count
      else for (let i = 0; i < count; i++) expected.push(block[i])
      wrote += count
      writer.write(block, count)
      // Canaries: what lies around the target is no number and must stay so.
      const around = new Float32Array(size() + 6).fill(Number.NaN)
      const target = around.subarray(3, around.length - 3)
      const got = reader.read(target)
      expect(got).toBe(Math.min(target.length, expected.length))
      expect([...target.subarray(0, got)]).toEqual(expected.splice(0, got))
      expect(around.subarray(0, 3).every(Number.isNaN)).toBe(true)
      expect(around.subarray(3 + got).every(Number.isNaN)).toBe(true)
      read += got
      expect(reader.lostSamples).toBe(lost)
    }
    // The fuzz must have met both a full ring and a stream many rings long.
    expect(lost).toBeGreaterThan(0)
    expect(read).toBeGreaterThan(64 * 50)
  })

  it.each([0, -300_000])('crosses threads whole, from index %i on', async (start) => {
    const total = 600_000
    const memory = ringFrom(start, 1024)
    const worker = new Worker(await readerScript(), { workerData: { memory, total, seed } })
    const answer = new Promise<unknown>((resolve, reject) => {
      worker.once('message', resolve)
      worker.once('error', reject)
    })
    const writer = new RingWriter(memory)
    const size = sizes(1, 700)
    const block = new Float32Array(700)
    let wrote = 0
    let refused = 0
    while (wrote < total) {
      const count = Math.min(size(), total - wrote)
      for (let i = 0; i < count; i++) block[i] = sampleAt(wrote + i)
      const lostBefore = writer.lostSamples
      writer.write(block, count)
      if (writer.lostSamples === lostBefore) wrote += count
      else {
        // Full: the same samples again later, so that the reader can expect an unbroken count.
        refused += count
        await new Promise(setImmediate)
      }
    }
    expect(await answer).toEqual({ read: total, firstWrong: -1, canaries: true, lostSamples: refused })
    await worker.terminate()
  })
})

/** The reader's script as one module: this Node does not read TypeScript. */
async function readerScript(): Promise<URL> {
  const entry = join(dirname(fileURLToPath(import.meta.url)), 'hostring.reader.ts')
  const built = (await build({
    configFile: false,
    logLevel: 'error',
    ssr: { noExternal: true },
    build: { ssr: entry, write: false, target: 'node20', minify: false },
  })) as Rollup.RollupOutput
  return new URL(`data:text/javascript,${encodeURIComponent(built.output[0].code)}`)
}
