/**
 * The way for samples where memory cannot be shared: a fixed number of blocks travels to the reader full and comes home
 * empty. When the reader is late and no block is at home, samples are lost and counted, as in a full ring.
 *
 * Buffers are transferred, never copied, and the poster allocates none after its constructor.
 */
import type { BlockSink, BlockSource } from './blocks.ts'
import type { FromTap, ToTap } from './messages.ts'

type Block = Float32Array<ArrayBuffer>

export class BlockPoster implements BlockSink {
  readonly #post: (message: FromTap, transfer: ArrayBuffer[]) => void
  readonly #home: Block[]
  #filling: Block | undefined
  #filled = 0
  #lostSamples = 0

  /** `blocks` blocks of `blockSamples` samples can be under way at once. */
  constructor(post: (message: FromTap, transfer: ArrayBuffer[]) => void, blockSamples: number, blocks: number) {
    this.#post = post
    this.#home = Array.from({ length: blocks }, () => new Float32Array(blockSamples))
  }

  write(samples: Float32Array, count: number): void {
    const blockSamples = (this.#filling ?? this.#home[0])?.length ?? 0
    const room = (this.#filling === undefined ? 0 : blockSamples - this.#filled) + this.#home.length * blockSamples
    if (count > room) {
      this.lose(count)
      return
    }
    for (let i = 0; i < count; i++) {
      this.#filling ??= this.#home.pop() as Block
      this.#filling[this.#filled++] = samples[i]
      if (this.#filled === this.#filling.length) this.finish()
    }
  }

  lose(count: number): void {
    this.#lostSamples += count
  }

  finish(): void {
    if (this.#filling === undefined) return
    const samples = this.#filling
    const message: FromTap = { kind: 'block', samples, count: this.#filled, lostSamples: this.#lostSamples }
    this.#filling = undefined
    this.#filled = 0
    this.#post(message, [samples.buffer])
  }

  /** A block that came home may be filled again. */
  take(block: Block): void {
    this.#home.push(block)
  }

  get lostSamples(): number {
    return this.#lostSamples
  }
}

export class PostedBlocks implements BlockSource {
  readonly #sendHome: (message: ToTap, transfer: ArrayBuffer[]) => void
  readonly #full: { readonly samples: Block; readonly count: number }[] = []
  #readOfFirst = 0
  #lostSamples = 0

  constructor(sendHome: (message: ToTap, transfer: ArrayBuffer[]) => void) {
    this.#sendHome = sendHome
  }

  /** A block has arrived; messages of other kinds only bring the count of what was lost. */
  take(message: Exclude<FromTap, { kind: 'problem' }>): void {
    this.#lostSamples = Math.max(this.#lostSamples, message.lostSamples)
    if (message.kind === 'block') this.#full.push(message)
  }

  read(target: Float32Array): number {
    let count = 0
    while (count < target.length) {
      const first = this.#full[0]
      if (first === undefined) break
      const upTo = Math.min(first.count, this.#readOfFirst + target.length - count)
      while (this.#readOfFirst < upTo) target[count++] = first.samples[this.#readOfFirst++]
      if (this.#readOfFirst < first.count) break
      this.#full.shift()
      this.#readOfFirst = 0
      this.#sendHome({ kind: 'return', samples: first.samples }, [first.samples.buffer])
    }
    return count
  }

  get lostSamples(): number {
    return this.#lostSamples
  }
}
