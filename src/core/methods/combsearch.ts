/**
 * Which string law, within 150 cents of a target, stands out of a spectrum: a noise-whitened sum over partials.
 *
 * Every law on a grid of pitches and stiffnesses collects log(1 + power / noise) at its partials. The logarithm makes it
 * a count of audible partials rather than a sum of powers: one loud interferer cannot outvote several quiet partials
 * (the likelihood of a partial of unknown amplitude in Gaussian noise grows as its ratio; the log is its robust form).
 * Noise is the spectrum's own lower quartile in bands two partials wide, or what was learnt of the room if that is more.
 * The grid is as fine as the analysis can tell apart; refining is left to others. Source: own.
 */
import type { Weighing } from './method.ts'
import { partialHz, type StringLaw, stiffnessSlope } from './stringlaw.ts'

/** Aimed methods search this far from the note in hand. */
export const searchCents = 150

/** From a flexible string to a stiff short one; each moves partial 10 by a main lobe's half-width or less. */
const stiffnesses = [2e-5, 1e-4, 2.5e-4] as const

/** Half of what two neighbours of the grid are apart, and what refining stays within. */
const stiffnessStep = 5e-5
const leastStiffness = -2e-5
const mostStiffness = 3.2e-4
/** With fewer, pitch and stiffness cannot be told apart. */
const fewestForStiffness = 4

/** The lower quartile of exponentially distributed powers is ln(4/3) of their mean. */
const quartileOfMean = Math.log(4 / 3)

/** The highest of three bins of noise has 3 nepers once in a thousand, 1.2 on average. */
const surpriseOfNoise = 1.2

/** Partials above this add errors of stiffness faster than evidence. */
const searchedPartials = 10

export class CombSearch {
  /** Best law of the last search. */
  readonly law: StringLaw = { f1Hz: 0, stiffness: 0 }
  /** Its sum, nepers of power over all searched partials. */
  score = 0
  readonly partials: number
  /** Noise power per bin of the last spectrum. */
  readonly noise: Float64Array
  /** From one pitch to the next. */
  readonly stepCents: number
  /** Cents by which the mean partial rises with B. */
  readonly #lean: number
  readonly #binHz: number
  readonly #bandBins: number
  readonly #sorted: Float64Array
  readonly #roomPower: Float64Array | null
  readonly #surprise: Float64Array
  readonly #pitches: Float64Array
  /** Bin (with fraction) of each partial of each law; law-major. */
  readonly #places: Float64Array

  /**
   * `bins` bins of `binHz` are looked at. `mainLobeHz`: half-width of a line in the spectrum. `roomPower`: what the room
   * alone would show per bin; null: not known.
   */
  constructor(
    targetHz: number,
    partials: number,
    binHz: number,
    bins: number,
    mainLobeHz: number,
    roomPower: Float64Array | null,
  ) {
    this.partials = Math.min(partials, searchedPartials)
    // The mean of k^2 - 1 over all partials is a third of the last one's.
    this.#lean = stiffnessSlope(this.partials, 0) / 3
    this.noise = new Float64Array(bins)
    this.#bandBins = Math.max(8, Math.min(bins, Math.round((2 * targetHz) / binHz)))
    this.#sorted = new Float64Array(this.#bandBins)
    this.#roomPower = roomPower
    this.#surprise = new Float64Array(bins)
    // A quarter of a line's half-width at the highest partial: at most a tenth of the power is lost between two pitches.
    const topHz = this.partials * targetHz
    const stepCents = (1200 * Math.log2(1 + mainLobeHz / topHz)) / 4
    const half = Math.ceil(searchCents / stepCents)
    this.stepCents = searchCents / half
    this.#binHz = binHz
    this.#pitches = Float64Array.from(
      { length: 2 * half + 1 },
      (_, i) => targetHz * 2 ** (((i / half - 1) * searchCents) / 1200),
    )
    this.#places = new Float64Array(this.#pitches.length * stiffnesses.length * this.partials)
    let at = 0
    for (const f1Hz of this.#pitches) {
      for (const stiffness of stiffnesses) {
        for (let k = 1; k <= this.partials; k++) {
          this.#places[at++] = Math.min(partialHz({ f1Hz, stiffness }, k) / binHz, bins - 1.001)
        }
      }
    }
  }

  /** Does not allocate. */
  search(power: Float64Array): void {
    this.#estimateNoise(power)
    const surprise = this.#surprise
    for (let i = 0; i < surprise.length; i++) surprise[i] = Math.log(1 + power[i] / this.noise[i])
    const places = this.#places
    const partials = this.partials
    let best = -1
    let bestScore = -1
    for (let at = 0, index = 0; at < places.length; index++) {
      let score = 0
      for (let k = 0; k < partials; k++) {
        const place = places[at++]
        const bin = Math.floor(place)
        score += surprise[bin] + (place - bin) * (surprise[bin + 1] - surprise[bin])
      }
      if (score > bestScore) {
        bestScore = score
        best = index
      }
    }
    this.score = bestScore
    this.law.f1Hz = this.#pitches[Math.floor(best / stiffnesses.length)]
    this.law.stiffness = stiffnesses[best % stiffnesses.length]
  }

  /** What each pitch of the last search was worth, at the stiffness that suits it best. Allocates. */
  weigh(): Weighing {
    const surprise = this.#surprise
    const places = this.#places
    const scores = new Float64Array(this.#pitches.length)
    for (let at = 0, index = 0; at < places.length; index++) {
      let score = 0
      for (let k = 0; k < this.partials; k++) {
        const place = places[at++]
        const bin = Math.floor(place)
        score += surprise[bin] + (place - bin) * (surprise[bin + 1] - surprise[bin])
      }
      const pitch = Math.floor(index / stiffnesses.length)
      scores[pitch] = Math.max(scores[pitch], score)
    }
    return { hz: this.#pitches, scores }
  }

  /** What each partial of the last search's law says beyond what noise does, nepers, each counted up to `loudest`. */
  excess(into: Float64Array, loudest: number): void {
    for (let k = 1; k <= this.partials; k++) {
      const bin = Math.min(Math.round(partialHz(this.law, k) / this.#binHz), this.#surprise.length - 2)
      const peak = Math.max(this.#surprise[bin - 1], this.#surprise[bin], this.#surprise[bin + 1])
      into[k - 1] = Math.max(0, Math.min(loudest, peak - surpriseOfNoise))
    }
  }

  /**
   * The last search's best pitch between grid points: where the sum turns, by parabolas of shrinking width in pitch and in
   * stiffness by turns, so that the grid, which hangs on the target, leaves no trace. Does not allocate.
   */
  refinedHz(): number {
    const { law, stepCents } = this
    let centre = law.f1Hz
    let stiffness: number = law.stiffness
    let stiffer = stiffnessStep
    for (let width = stepCents; width > stepCents / 2000; width /= 1.6, stiffer /= 1.6) {
      const ratio = 2 ** (width / 1200)
      centre *=
        ratio **
        turned(
          this.#sumAt(centre / ratio, stiffness),
          this.#sumAt(centre, stiffness),
          this.#sumAt(centre * ratio, stiffness),
        )
      if (this.partials < fewestForStiffness) continue
      // Stiffness moves all partials up against the first: the pitch that goes with it lies lower, and is moved along.
      const along = 2 ** (-(stiffer * this.#lean) / 1200)
      const step = turned(
        this.#sumAt(centre / along, stiffness - stiffer),
        this.#sumAt(centre, stiffness),
        this.#sumAt(centre * along, stiffness + stiffer),
      )
      const next = Math.max(leastStiffness, Math.min(mostStiffness, stiffness + step * stiffer))
      centre *= along ** ((next - stiffness) / stiffer)
      stiffness = next
    }
    return centre
  }

  #sumAt(f1Hz: number, stiffness: number): number {
    const surprise = this.#surprise
    let sum = 0
    for (let k = 1; k <= this.partials; k++) {
      const place = Math.min(
        (k * f1Hz * Math.sqrt((1 + stiffness * k * k) / (1 + stiffness))) / this.#binHz,
        surprise.length - 2.001,
      )
      // A quadratic through three bins: straight lines would turn at bins only.
      const bin = Math.round(place)
      const t = place - bin
      const left = surprise[bin - 1]
      const right = surprise[bin + 1]
      sum += surprise[bin] + 0.5 * t * (right - left + t * (left - 2 * surprise[bin] + right))
    }
    return sum
  }

  /** Lower quartile per band, joined by straight lines in the logarithm. */
  #estimateNoise(power: Float64Array): void {
    const { noise } = this
    const width = this.#bandBins
    const sorted = this.#sorted
    let largest = 0
    for (let i = 0; i < noise.length; i++) if (power[i] > largest) largest = power[i]
    // Nothing is said 100 dB under the strongest line: below that the window's own skirts are no noise.
    const least = largest * 1e-10 + Number.MIN_VALUE
    let lastMiddle = 0
    let lastLog = Number.NaN
    for (let start = 0; ; start += width) {
      const from = Math.min(start, noise.length - width)
      for (let i = 0; i < width; i++) sorted[i] = power[from + i]
      const log = Math.log(Math.max(least, rankedOf(sorted, width >> 2) / quartileOfMean))
      const middle = from + width / 2
      if (Number.isNaN(lastLog)) {
        noise.fill(Math.exp(log), 0, Math.ceil(middle))
      } else if (middle > lastMiddle) {
        const ratio = Math.exp((log - lastLog) / (middle - lastMiddle))
        let value = Math.exp(lastLog) * ratio ** (Math.ceil(lastMiddle) - lastMiddle)
        for (let i = Math.ceil(lastMiddle); i < middle; i++) {
          noise[i] = value
          value *= ratio
        }
      }
      lastMiddle = middle
      lastLog = log
      if (from + width >= noise.length) break
    }
    noise.fill(Math.exp(lastLog), Math.ceil(lastMiddle))
    const room = this.#roomPower
    if (room !== null) for (let i = 0; i < noise.length; i++) if (room[i] > noise[i]) noise[i] = room[i]
  }
}

/** The value that would stand at `rank` if all were sorted (Hoare 1961, Commun. ACM 4:321, algorithm 65). Reorders them. */
function rankedOf(values: Float64Array, rank: number): number {
  let low = 0
  let high = values.length - 1
  while (low < high) {
    const pivot = values[rank]
    let i = low
    let j = high
    while (i <= j) {
      while (values[i] < pivot) i++
      while (pivot < values[j]) j--
      if (i > j) break
      const swapped = values[i]
      values[i++] = values[j]
      values[j--] = swapped
    }
    if (j < rank) low = i
    if (rank < i) high = j
  }
  return values[rank]
}

/** Where between -1 and 1 a parabola through three values turns; downhill's far end if it does not. */
function turned(left: number, middle: number, right: number): number {
  const bend = left - 2 * middle + right
  return bend < 0 ? Math.max(-1, Math.min(1, (0.5 * (left - right)) / bend)) : Math.sign(right - left)
}
