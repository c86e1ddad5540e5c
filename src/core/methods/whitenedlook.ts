/**
 * One look of the whitened sum at the newest part of a frame: its spectrum, the best law (combsearch.ts), and by how much that
 * law's comb beats the gaps (combcontrast.ts).
 */
import { RealFourier } from '../maths/fourier.ts'
import { densityAt, type Spectrum } from '../maths/spectrum.ts'
import { hann } from '../maths/windows.ts'
import type { AimedFrames } from './aimedwise.ts'
import { CombContrast } from './combcontrast.ts'
import { hasHoles } from './comboverlap.ts'
import { CombSearch } from './combsearch.ts'
import type { Weighing } from './method.ts'

/** 13 dB: a partial heard that well says all it can about holes beside it. */
const loudest = 3

export class WhitenedLook {
  /** Of a frame, the newest so many samples are looked at. */
  readonly length: number
  /** What the last `fit` found. */
  fittedHz = 0
  readonly #window: Float64Array
  readonly #windowed: Float64Array
  readonly #fourier: RealFourier
  readonly #power: Float64Array
  readonly #search: CombSearch
  readonly #contrast: CombContrast
  readonly #worth: Float64Array
  readonly #binHz: number

  /** `length`: odd, at most the frame's. `room`: null: not known. */
  constructor({ targetHz, rateHz, partials, passHz }: AimedFrames, length: number, room: Spectrum | null) {
    this.length = length
    this.#window = hann(length)
    this.#windowed = new Float64Array(length)
    let size = 16
    while (size < 2 * length) size *= 2
    this.#fourier = new RealFourier(size)
    this.#power = new Float64Array(size / 2 + 1)
    const binHz = rateHz / size
    this.#binHz = binHz
    const bins = Math.min(this.#power.length, Math.ceil(passHz / binHz) + 4)
    const energy = this.#window.reduce((sum, w) => sum + w * w, 0)
    const roomPower =
      room === null
        ? null
        : Float64Array.from({ length: bins }, (_, i) => (densityAt(room, i * binHz) / 2) * rateHz * energy)
    this.#search = new CombSearch(targetHz, partials, binHz, bins, (2 * rateHz) / length, roomPower)
    this.#contrast = new CombContrast(targetHz, this.#search.partials, binHz, bins, this.#search.stepCents)
    this.#worth = new Float64Array(this.#search.partials)
  }

  /** Nepers a partial by which the best comb beats the gaps. Does not allocate. */
  contrastIn(frame: Float64Array): number {
    const from = frame.length - this.length
    for (let i = 0; i < this.length; i++) this.#windowed[i] = frame[from + i] * this.#window[i]
    this.#fourier.power(this.#windowed, this.#power)
    this.#search.search(this.#power)
    return this.#contrast.of(this.#power, this.#search.noise)
  }

  /** What each pitch of the last frame was worth. Allocates. */
  weigh(): Weighing {
    return this.#search.weigh()
  }

  /** Of the last frame: NaN if the comb is another string's. Does not allocate. */
  f0Hz(): number {
    this.#search.excess(this.#worth, loudest)
    return hasHoles(this.#worth, this.#search.partials) ? Number.NaN : this.#search.refinedHz()
  }

  /**
   * Pitch near `f0Hz` as the last frame's partials tell it one by one, into `fittedHz`, and its standard error in cents: how far
   * their own tops scatter about a stiff string's law, whatever the reason. Infinity if fewer than `fewestTops` stand out. Does
   * not allocate.
   */
  fit(f0Hz: number): number {
    const power = this.#power
    let [s0, s1, s2, t0, t1, t2, n] = [0, 0, 0, 0, 0, 0, 0]
    for (let k = 1; k <= this.#search.partials; k++) {
      const place = (k * f0Hz * Math.sqrt((1 + middleStiffness * k * k) / (1 + middleStiffness))) / this.#binHz
      let top = Math.min(Math.round(place), power.length - 3)
      // A law with the wrong stiffness may stand beside the top by a bin.
      if (power[top + 1] > power[top]) top++
      else if (power[top - 1] > power[top]) top--
      const ratio = power[top] / this.#search.noise[Math.min(top, this.#search.noise.length - 1)]
      if (!(ratio > leastTop)) continue
      const [left, middle, right] = [Math.log(power[top - 1]), Math.log(power[top]), Math.log(power[top + 1])]
      const bend = left - 2 * middle + right
      if (!(bend < 0)) continue
      const off = (1200 / Math.LN2) * Math.log((top + (0.5 * (left - right)) / bend) / place)
      const weight = k * k * Math.min(ratio, mostRatio)
      const x = k * k
      n++
      s0 += weight
      s1 += weight * x
      s2 += weight * x * x
      t0 += weight * off
      t1 += weight * x * off
      t2 += weight * off * off
    }
    if (n < fewestTops) return Number.POSITIVE_INFINITY
    const determinant = s0 * s2 - s1 * s1
    const level = (t0 * s2 - t1 * s1) / determinant
    const slope = (t1 * s0 - t0 * s1) / determinant
    const left = Math.max(0, t2 - level * t0 - slope * t1)
    // The pitch is the law at k = 1.
    this.fittedHz = f0Hz * 2 ** ((level + slope) / 1200)
    return Math.sqrt(((left / (n - 2)) * (s2 - 2 * s1 + s0)) / determinant)
  }
}

/** In the middle of a guitar's strings; what is left over is fitted. */
const middleStiffness = 1e-4
/** 10 dB over the noise: a top under that is as likely noise's own. */
const leastTop = 10
/** 30 dB: above that noise is not what moves a top. */
const mostRatio = 1000
/** Two are spent on pitch and stiffness; with two over, a scatter can be told. */
const fewestTops = 4
