/**
 * Plays the two sides of a take into blocks: string, noise or both, with every change faded.
 *
 * With both sides wholly open the sum is the take sample for sample: two float32 numbers are added in float64 and rounded
 * once. Every play starts from silence and rises over the ramp; the last ramp of the take falls to silence; a pause falls
 * first and stops then. What leaves is held within -1..1, and a value that is no number leaves as silence.
 */
import { type Part, type PlayerOptions, type ToPlayer, unknownKind } from './messages.ts'

export class TakeMixer {
  readonly #string: Float32Array
  readonly #noise: Float32Array
  /** Gain per sample of a fade; 1: changes are immediate. */
  readonly #step: number
  #position = 0
  #wanted = false
  #looping = false
  #open = 0
  #closed = false
  #stringGain: number
  #noiseGain: number
  #part: Part

  constructor({ string, noise, part, rampSamples, playing }: PlayerOptions) {
    this.#string = string
    this.#noise = noise
    this.#wanted = playing
    this.#step = rampSamples > 0 ? 1 / rampSamples : 1
    this.#part = part
    this.#stringGain = part === 'noise' ? 0 : 1
    this.#noiseGain = part === 'string' ? 0 : 1
  }

  /** The next sample to be heard. */
  get position(): number {
    return this.#position
  }

  /** Something is heard or still fading. */
  get playing(): boolean {
    return this.#wanted || this.#open > 0
  }

  /** Nothing will ever be heard again. */
  get closed(): boolean {
    return this.#closed
  }

  /** @throws Error for a message that nobody knows. */
  obey(message: ToPlayer): void {
    switch (message.kind) {
      case 'play':
        this.#position = Math.min(Math.max(0, Math.floor(message.fromSample) || 0), this.#string.length)
        this.#open = 0
        this.#wanted = true
        return
      case 'pause':
        this.#wanted = false
        return
      case 'hear':
        this.#part = message.part
        return
      case 'loop':
        this.#looping = message.on
        return
      case 'close':
        this.#closed = true
        this.#wanted = false
        this.#open = 0
        return
      default:
        throw new Error(unknownKind(message))
    }
  }

  /** Fills `out` with the next samples, silence where nothing plays. Allocates nothing. */
  fill(out: Float32Array): void {
    const step = this.#step
    const length = this.#string.length
    const stringAim = this.#part === 'noise' ? 0 : 1
    const noiseAim = this.#part === 'string' ? 0 : 1
    let i = 0
    while (i < out.length && this.playing) {
      if (this.#position >= length) {
        this.#open = 0
        this.#wanted = this.#looping && length > 0
        if (this.#wanted) this.#position = 0
        continue
      }
      this.#open = moved(this.#open, this.#wanted ? 1 : 0, step)
      this.#stringGain = moved(this.#stringGain, stringAim, step)
      this.#noiseGain = moved(this.#noiseGain, noiseAim, step)
      const gain = Math.min(this.#open, (length - this.#position) * step)
      const sum = this.#stringGain * this.#string[this.#position] + this.#noiseGain * this.#noise[this.#position]
      out[i++] = held(gain * sum)
      this.#position++
    }
    out.fill(0, i)
  }
}

const moved = (from: number, to: number, step: number): number =>
  from < to ? Math.min(to, from + step) : Math.max(to, from - step)

const held = (value: number): number => (value > 1 ? 1 : value < -1 ? -1 : Number.isNaN(value) ? 0 : value)
