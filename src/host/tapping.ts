/**
 * What a tap does with each quantum of its input: choose the channel, notice what the audio thread left out, hand it on.
 *
 * The frame number of a quantum says where it belongs; when it is later than the end of the one before, the samples
 * between were never seen and count as lost. An input without channels is a source that is silent: time goes on, zeros
 * are handed on.
 */
import type { BlockSink } from './blocks.ts'
import type { Channel } from './messages.ts'

/** A render quantum of the Web Audio API 1.0; should a host use a longer one, the scratch buffer follows. */
const quantumSamples = 128

export class Tapping {
  readonly #sink: BlockSink
  readonly #channel: Channel
  #scratch = new Float32Array(quantumSamples)
  #nextFrame = Number.NaN

  constructor(sink: BlockSink, channel: Channel) {
    this.#sink = sink
    this.#channel = channel
  }

  /** `input`: the channels of one quantum, which begins at `frame`. Allocates only when the quantum's length changes. */
  hear(input: readonly Float32Array[], frame: number): void {
    if (frame > this.#nextFrame) this.#sink.lose(frame - this.#nextFrame)
    const first = input[0]
    const second = input[1] ?? first
    if (first === undefined) {
      this.#scratch.fill(0)
      this.#hand(this.#scratch, frame)
    } else if (this.#channel === 'mix' && second !== first) {
      if (this.#scratch.length !== first.length) this.#scratch = new Float32Array(first.length)
      for (let i = 0; i < first.length; i++) this.#scratch[i] = 0.5 * (first[i] + second[i])
      this.#hand(this.#scratch, frame)
    } else {
      this.#hand(this.#channel === 'right' ? second : first, frame)
    }
  }

  #hand(samples: Float32Array, frame: number): void {
    this.#sink.write(samples, samples.length)
    this.#nextFrame = frame + samples.length
  }
}
