/**
 * The last seconds of what was heard, so that a person may freeze them. Never holds a gap: a loss empties it.
 */
import type { Snapshot } from './livemessages.ts'

export class SampleHistory {
  readonly #samples: Float32Array
  #held = 0
  #at = 0
  #endSample = 0

  /** Keeps `count` samples at most. */
  constructor(count: number) {
    this.#samples = new Float32Array(Math.max(1, count))
  }

  /** The next sample to come is number `sample`; what was kept is forgotten. */
  restart(sample: number): void {
    this.#held = 0
    this.#at = 0
    this.#endSample = sample
  }

  /** Allocates nothing. */
  keep(samples: Float32Array): void {
    const ring = this.#samples
    for (let i = 0; i < samples.length; i++) {
      ring[this.#at] = samples[i]
      this.#at = this.#at + 1 === ring.length ? 0 : this.#at + 1
    }
    this.#held = Math.min(ring.length, this.#held + samples.length)
    this.#endSample += samples.length
  }

  /** A copy of the last `count` samples, or of as many as there are. */
  snapshot(count: number): Snapshot {
    const ring = this.#samples
    const length = Math.max(0, Math.min(this.#held, Math.floor(count)))
    const samples = new Float32Array(length)
    const start = (this.#at - length + ring.length) % ring.length
    const first = Math.min(length, ring.length - start)
    samples.set(ring.subarray(start, start + first))
    samples.set(ring.subarray(0, length - first), first)
    return { startSample: this.#endSample - length, samples }
  }
}
