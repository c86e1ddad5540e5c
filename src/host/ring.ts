/**
 * A ring of samples between one writer and one reader, on shared or plain memory. Both sides are wait-free.
 *
 * Each index has exactly one writer: `written` and `lost` belong to the RingWriter, `read` to the RingReader. An index
 * counts samples since the start, modulo 2^32, so full and empty differ without a spare place; the place is the index
 * modulo the capacity, a power of two. Samples are plain stores: Atomics.store of an index publishes what was stored
 * before it to whoever loads that index (ECMAScript memory model, "synchronizes-with").
 * Holds up to 2^30 samples; roles are fixed for the life of the memory.
 */
import { Problem } from '../core/problem.ts'
import type { BlockSink, BlockSource } from './blocks.ts'

/** Each index has a cache line of its own (64 bytes), so that the two sides do not slow each other down. */
const lineInts = 16
const writtenAt = 0
const readAt = lineInts
const lostAt = 2 * lineInts
const headInts = 3 * lineInts
const mostSamples = 2 ** 30

type Memory = ArrayBuffer | SharedArrayBuffer

/** Bytes of a ring for at least `samples` samples (the next power of two). @throws Problem outside 1..2^30. */
export function ringBytes(samples: number): number {
  if (!(samples >= 1 && samples <= mostSamples)) {
    throw new Problem(`a ring of ${samples} samples is outside 1 to ${mostSamples}`, 'samples')
  }
  return 4 * (headInts + 2 ** Math.ceil(Math.log2(samples)))
}

/** Both views of a ring's memory, zeroed when new. @throws Problem for a size that `ringBytes` never answers. */
function views(memory: Memory): { indexes: Int32Array; samples: Float32Array } {
  const capacity = memory.byteLength / 4 - headInts
  if (!Number.isInteger(Math.log2(capacity))) {
    throw new Problem(`${memory.byteLength} bytes are no ring`, 'memory')
  }
  return { indexes: new Int32Array(memory, 0, headInts), samples: new Float32Array(memory, 4 * headInts) }
}

export class RingWriter implements BlockSink {
  readonly #indexes: Int32Array
  readonly #samples: Float32Array

  constructor(memory: Memory) {
    const { indexes, samples } = views(memory)
    this.#indexes = indexes
    this.#samples = samples
  }

  write(samples: Float32Array, count: number): void {
    const ring = this.#samples
    const written = Atomics.load(this.#indexes, writtenAt)
    const held = (written - Atomics.load(this.#indexes, readAt)) >>> 0
    if (count > ring.length - held) {
      this.lose(count)
      return
    }
    const mask = ring.length - 1
    for (let i = 0; i < count; i++) ring[(written + i) & mask] = samples[i]
    Atomics.store(this.#indexes, writtenAt, (written + count) | 0)
  }

  lose(count: number): void {
    // Stays at 2^31 - 1 (half a day at 48 kHz): a count that wraps to nothing would mend a broken take.
    const lost = Math.min(Atomics.load(this.#indexes, lostAt) + count, 2 ** 31 - 1)
    Atomics.store(this.#indexes, lostAt, lost)
  }

  finish(): void {}

  get lostSamples(): number {
    return Atomics.load(this.#indexes, lostAt)
  }
}

export class RingReader implements BlockSource {
  readonly #indexes: Int32Array
  readonly #samples: Float32Array

  constructor(memory: Memory) {
    const { indexes, samples } = views(memory)
    this.#indexes = indexes
    this.#samples = samples
  }

  read(target: Float32Array): number {
    const ring = this.#samples
    const read = Atomics.load(this.#indexes, readAt)
    const held = (Atomics.load(this.#indexes, writtenAt) - read) >>> 0
    const count = Math.min(held, target.length)
    const mask = ring.length - 1
    for (let i = 0; i < count; i++) target[i] = ring[(read + i) & mask]
    Atomics.store(this.#indexes, readAt, (read + count) | 0)
    return count
  }

  get lostSamples(): number {
    return Atomics.load(this.#indexes, lostAt)
  }
}
