/**
 * The stiff-string law that explains a spectrum best, near a coarse one: pitch and stiffness searched together, all partials
 * counted, so that a start exists even where hardly a partial shows a peak of its own.
 *
 * A partial of mean power Q in noise N has the log likelihood ratio x w, x = power / noise, w = Q / (Q + N) (complex Gaussian
 * amplitude). Q is evened out between neighbours as levels fall with 1 / k^2. The spectra of the last frames are pooled: which of several
 * tops is the string's is told by all of them, where it lies by the frame alone, for what comes after measures that frame only.
 * Stiffness has its prior and what earlier frames told. The grid's step moves the highest partial by one bin of an unpadded
 * transform, half of a Hann line's half-width, and is then halved around the best law.
 * Source: own. Not valid for stiffness beyond what is searched (start from peaks there).
 */
import type { StiffnessMemory } from './stiffnessmemory.ts'
import type { StiffnessPrior, StringLaw } from './stringlaw.ts'

/** Frames that are pooled. Measured at -10 dB: 2 and 8 leave more on a wrong top, 8 because a bent note smears. */
const pooledFrames = 4

/** From here on a partial counts by the logarithm: one loud line must not decide. */
const loud = 100

/** A quarter of a frame's own noise: the highest of three bins is raised by it. */
const raised = 1.5

/** Higher partials are where a coarse law is not: their power is reckoned from those below. */
const reckonedPartials = 10
const neighbours = 4

/** Nine nepers: memory that is contradicted by more is not believed. */
const mostDoubt = 9

/** Halvings around the grid's best law: an eighth of a bin at the highest partial, well inside what phase slopes can follow. */
const halvings = 3

/** In deviations of the prior, and within what strings have. */
const priorReach = 3
const leastStiffness = -2e-5
const mostStiffness = 3.2e-4

export class LawSearch {
  readonly law: StringLaw = { f1Hz: 0, stiffness: 0 }
  /** Of the best law, nepers. */
  score = 0
  readonly #prior: StiffnessPrior
  readonly #partials: number
  readonly #binHz: number
  readonly #lobe: number
  readonly #worth: Float64Array
  readonly #now: Float64Array
  readonly #pool: Float64Array
  readonly #share: number
  #frames = 0
  readonly #stretch: Float64Array
  readonly #weight: Float64Array
  readonly #own: Float64Array
  #memory: Readonly<StiffnessMemory> | null = null

  /** `lobe`: spectrum bins per bin of an unpadded transform; `share`: of a frame that is new in each. */
  constructor(partials: number, binHz: number, lobe: number, bins: number, share: number, prior: StiffnessPrior) {
    this.#prior = prior
    this.#share = share
    this.#now = new Float64Array(bins)
    this.#pool = new Float64Array(bins)
    this.#partials = partials
    this.#binHz = binHz
    this.#lobe = lobe
    this.#worth = new Float64Array(bins)
    this.#weight = new Float64Array(partials)
    this.#own = new Float64Array(partials)
    this.#stretch = new Float64Array(partials)
  }

  /** Takes a power spectrum and the noise under it. Does not allocate. */
  load(power: Float64Array, noise: Float64Array): void {
    const now = this.#now
    const worth = this.#worth
    const fade = 1 - this.#share / pooledFrames
    this.#frames = this.#frames * fade + this.#share
    // What was kept counts frames; one frame alone counts as one.
    const rescale = Math.max(1, this.#frames) / this.#frames
    for (let i = 0; i < worth.length; i++) {
      const ratio = power[i] / noise[i]
      now[i] = ratio > loud ? loud * (1 + Math.log(ratio / loud)) : ratio
      this.#pool[i] = this.#pool[i] * fade + now[i] * this.#share
      worth[i] = this.#pool[i] * rescale
    }
  }

  /** Laws within `reachCents` of `start` and within the prior of stiffness. Does not allocate. */
  search(start: Readonly<StringLaw>, reachCents: number, memory: Readonly<StiffnessMemory>): void {
    this.#memory = memory
    this.#weigh(start)
    const top = this.#partials
    const binRatio = (this.#lobe * this.#binHz) / (top * start.f1Hz)
    const half = Math.max(1, Math.ceil(reachCents / (1731 * binRatio)))
    const pitchStep = 1 + reachCents / 1731 / half
    let stiffnessStep = top > 1 ? (2 * binRatio) / (top * top - 1) : 1
    const low = Math.max(leastStiffness, this.#prior.mean - priorReach * this.#prior.sd)
    const high = Math.min(mostStiffness, this.#prior.mean + priorReach * this.#prior.sd)
    const stiffnesses = Math.min(64, Math.max(1, Math.ceil((high - low) / stiffnessStep)))
    stiffnessStep = (high - low) / stiffnesses
    const lowest = start.f1Hz / pitchStep ** half
    this.score = Number.NEGATIVE_INFINITY
    for (let i = 0; i <= stiffnesses; i++) this.#along(lowest, pitchStep, 2 * half + 1, low + i * stiffnessStep)
    let ratio = pitchStep
    for (let halving = 0; halving < halvings; halving++) {
      ratio = 1 + (ratio - 1) / 2
      stiffnessStep /= 2
      const { f1Hz, stiffness } = this.law
      for (let i = -1; i <= 1; i++) this.#along(f1Hz / ratio, ratio, 3, stiffness + i * stiffnessStep)
    }
  }

  /** Of any law, under the prior of the last search. */
  scoreOf({ f1Hz, stiffness }: Readonly<StringLaw>): number {
    this.#stretchTo(stiffness)
    return this.#sum(f1Hz) - this.#surprise(stiffness)
  }

  /** The same by the last frame alone. */
  scoreNow({ f1Hz, stiffness }: Readonly<StringLaw>): number {
    this.#stretchTo(stiffness)
    return this.#sum(f1Hz, this.#now) - this.#surprise(stiffness)
  }

  /** What each partial's power counts for. */
  #weigh(start: Readonly<StringLaw>): void {
    const weight = this.#weight
    const own = this.#own
    const worth = this.#worth
    this.#stretchTo(start.stiffness)
    const known = Math.min(reckonedPartials, this.#partials)
    for (let k = 0; k < known; k++) {
      const bin = Math.min(Math.round(start.f1Hz * this.#stretch[k]), worth.length - 2)
      own[k] = Math.max(worth[bin], worth[bin - 1], worth[bin + 1]) - raised
    }
    for (let k = 0; k < this.#partials; k++) {
      const low = Math.max(0, Math.min(k, known - 1) - neighbours)
      const high = Math.min(known - 1, k + neighbours)
      let sum = 0
      for (let j = low; j <= high; j++) sum += own[j] * ((j + 1) / (k + 1)) ** 2
      const even = Math.max(0, sum / (high - low + 1))
      weight[k] = even / (1 + even)
    }
  }

  #along(fromHz: number, ratio: number, count: number, stiffness: number): void {
    this.#stretchTo(stiffness)
    const surprise = this.#surprise(stiffness)
    for (let i = 0, f1Hz = fromHz; i < count; i++, f1Hz *= ratio) {
      const score = this.#sum(f1Hz) - surprise
      if (score <= this.score) continue
      this.score = score
      this.law.f1Hz = f1Hz
      this.law.stiffness = stiffness
    }
  }

  #surprise(stiffness: number): number {
    const memory = this.#memory
    const known = memory === null ? 0 : memory.precision * (stiffness - memory.stiffness) ** 2
    return 0.5 * Math.min(known, mostDoubt) + 0.5 * ((stiffness - this.#prior.mean) / this.#prior.sd) ** 2
  }

  #stretchTo(stiffness: number): void {
    const scale = 1 / (this.#binHz * Math.sqrt(1 + stiffness))
    for (let k = 1; k <= this.#partials; k++) this.#stretch[k - 1] = scale * k * Math.sqrt(1 + stiffness * k * k)
  }

  #sum(f1Hz: number, worth = this.#worth): number {
    const stretch = this.#stretch
    const weight = this.#weight
    const last = worth.length - 1.001
    let sum = 0
    for (let k = 0; k < stretch.length; k++) {
      const place = Math.min(f1Hz * stretch[k], last)
      const bin = Math.floor(place)
      sum += weight[k] * (worth[bin] + (place - bin) * (worth[bin + 1] - worth[bin]))
    }
    return sum
  }
}
