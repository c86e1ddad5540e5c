/**
 * Player: sounds the string, the noise or the mix of one take, faded in and out, and says rarely where it is.
 *
 * One node holds one take. Should anything throw, it posts one problem and falls silent for good.
 */
import type { FromPlayer, PlayerOptions, ToPlayer } from '../src/host/messages.ts'
import { TakeMixer } from '../src/host/mixer.ts'

/** A position every tenth of a second moves a cursor smoothly enough and costs the page nothing. */
const reportS = 0.1

class Player extends AudioWorkletProcessor implements AudioWorkletProcessorImpl {
  readonly #mixer: TakeMixer
  #failed = false
  #wasPlaying = false
  #reportFrame = 0

  constructor(options: { processorOptions: PlayerOptions }) {
    super()
    this.#mixer = new TakeMixer(options.processorOptions)
    this.port.onmessage = ({ data }: MessageEvent<ToPlayer>) => {
      try {
        this.#mixer.obey(data)
      } catch (error) {
        this.#fail(error)
      }
    }
  }

  process(_inputs: Float32Array[][], outputs: Float32Array[][]): boolean {
    if (this.#failed || this.#mixer.closed) return false
    try {
      const output = outputs[0]
      this.#mixer.fill(output[0])
      for (let c = 1; c < output.length; c++) output[c].set(output[0])
      this.#report()
    } catch (error) {
      this.#fail(error)
    }
    return true
  }

  #report(): void {
    const { playing, position } = this.#mixer
    if (playing === this.#wasPlaying && !(playing && currentFrame >= this.#reportFrame)) return
    this.#wasPlaying = playing
    this.#reportFrame = currentFrame + reportS * sampleRate
    this.port.postMessage({ kind: 'at', sample: position, playing } satisfies FromPlayer)
  }

  #fail(error: unknown): void {
    if (!this.#failed) this.port.postMessage({ kind: 'problem', what: String(error) } satisfies FromPlayer)
    this.#failed = true
  }
}

registerProcessor('player', Player)
