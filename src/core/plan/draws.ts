/**
 * Chance, drawn once and used by every chain: the n-th pluck of a string in an episode meets the same room moment and the same
 * slip of the hand whatever the chain did before. Differences between chains are then their own.
 */
import { randomStream } from '../maths/random.ts'
import type { Hand, Work } from './hand.ts'

/** Plucks of one string in one episode with draws of their own; later ones start over. More than any chain that works needs. */
const plucksKept = 24
const perPluck = 6

/** What one pluck meets; valid until the next `at`. */
export class Draws {
  /** In [0, 1): which recorded trial. */
  trial = 0
  /** In [0, 1): which trial of the next noisier cell, should that be drawn. */
  worseTrial = 0
  /** Standard deviations of: ratio, gain of the turn, gain of the way back up, rest of the peg. */
  ratio = 0
  gain = 0
  backGain = 0
  rest = 0
  readonly episodes: number
  readonly #strings: number
  readonly #values: Float64Array
  readonly #start: Float64Array
  readonly #matrix: Float64Array
  readonly #string: Float64Array

  constructor(seed: number, episodes: number, strings: number) {
    this.episodes = episodes
    this.#strings = strings
    this.#values = new Float64Array(episodes * strings * plucksKept * perPluck)
    this.#start = new Float64Array(episodes * strings)
    this.#matrix = new Float64Array(episodes * strings * strings)
    const plucks = randomStream(seed, 'plan', 'plucks')
    for (let at = 0; at < this.#values.length; at += perPluck) {
      this.#values[at] = plucks.uniform()
      this.#values[at + 1] = plucks.uniform()
      for (let i = 2; i < perPluck; i++) this.#values[at + i] = plucks.gaussian()
    }
    randomStream(seed, 'plan', 'start').fillGaussian(this.#start)
    randomStream(seed, 'plan', 'matrix').fillGaussian(this.#matrix)
    const own = randomStream(seed, 'plan', 'string')
    this.#string = Float64Array.from({ length: episodes * strings }, () => own.uniform())
  }

  at(episode: number, string: number, pluck: number): void {
    const place = ((episode * this.#strings + string) * plucksKept + (pluck % plucksKept)) * perPluck
    const values = this.#values
    this.trial = values[place]
    this.worseTrial = values[place + 1]
    this.ratio = values[place + 2]
    this.gain = values[place + 3]
    this.backGain = values[place + 4]
    this.rest = values[place + 5]
  }

  startCents(episode: number, string: number, { startMeanCents, startSdCents }: Hand): number {
    return startMeanCents + startSdCents * this.#start[episode * this.#strings + string]
  }

  /** In [0, 1): which of the recorded strings of its kind this one is, all evening. */
  stringOf(episode: number, string: number): number {
    return this.#string[episode * this.#strings + string]
  }

  /** Factor on what is thought to be known of string `to`'s answer to string `from`. */
  matrixFactor(episode: number, to: number, from: number, { matrixErrorShare }: Work): number {
    return 1 + matrixErrorShare * this.#matrix[(episode * this.#strings + to) * this.#strings + from]
  }
}
