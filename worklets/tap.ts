/**
 * Tap: hands what its input carries to a reader on another thread, through a ring or as posted blocks.
 *
 * After `stop` it hands over the rest, says so and ends. Should anything throw, it posts one problem and falls silent.
 */
import { type FromTap, type TapOptions, type ToTap, unknownKind } from '../src/host/messages.ts'
import { BlockPoster } from '../src/host/posted.ts'
import { RingWriter } from '../src/host/ring.ts'
import { Tapping } from '../src/host/tapping.ts'

class Tap extends AudioWorkletProcessor implements AudioWorkletProcessorImpl {
  readonly #sink: RingWriter | BlockPoster
  readonly #tapping: Tapping
  #ended = false

  constructor(options: { processorOptions: TapOptions }) {
    super()
    const { channel, ring, blockSamples, blocks } = options.processorOptions
    const post = (message: FromTap, transfer: ArrayBuffer[]) => this.port.postMessage(message, transfer)
    this.#sink = ring === null ? new BlockPoster(post, blockSamples, blocks) : new RingWriter(ring)
    this.#tapping = new Tapping(this.#sink, channel)
    this.port.onmessage = ({ data }: MessageEvent<ToTap>) => {
      try {
        this.#obey(data)
      } catch (error) {
        this.#end({ kind: 'problem', what: String(error) })
      }
    }
  }

  process(inputs: Float32Array[][]): boolean {
    if (this.#ended) return false
    try {
      this.#tapping.hear(inputs[0], currentFrame)
    } catch (error) {
      this.#end({ kind: 'problem', what: String(error) })
    }
    return true
  }

  #obey(message: ToTap): void {
    if (message.kind === 'return') {
      if (this.#sink instanceof BlockPoster) this.#sink.take(message.samples)
    } else if (message.kind === 'stop') {
      this.#sink.finish()
      this.#end({ kind: 'stopped', lostSamples: this.#sink.lostSamples })
    } else throw new Error(unknownKind(message))
  }

  #end(message: FromTap): void {
    if (!this.#ended) this.port.postMessage(message)
    this.#ended = true
  }
}

registerProcessor('tap', Tap)
