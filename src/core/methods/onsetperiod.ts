/**
 * Whether what has newly come up repeats with the period of the note in hand: what tells a string from a drum.
 *
 * Bands one partial wide are asked apart: the autocorrelation of a stretch after the change less that of an equal stretch
 * before it, over the energy that is there, weighed by the logarithm of the growth so that one loud tone cannot answer for
 * all (a summary autocorrelation as of Meddis & Hewitt 1991, JASA 89:2866-2882, over spectral bands). The largest value
 * within 150 cents of the period counts. Noise gives about 0, a string nearly 1; a stiff string's partials above the tenth
 * no longer agree and are left out. An instrument in unison, or one whose partials are all partials of the note, passes.
 */
import { RealFourier } from '../maths/fourier.ts'
import { searchCents } from './combsearch.ts'

/** A stretch: long enough that noise averages out, and that a low string fills it with nearly three periods. */
const leastS = 0.026
const leastPeriods = 2.8
/** How long after the change a slow decision may still ask. */
const memoryS = 0.12
/** Bands that grew less say nothing. */
const leastGrowth = 2
/** Natural logarithm of the growth beyond which a band weighs no more. */
const mostWeight = 4
const mostPartials = 10

export class RisePeriod {
  /** Samples of a stretch: `ask` is of use from so many after the change on. */
  readonly stretch: number
  readonly #recent: Float64Array
  #at = 0
  readonly #fourier: RealFourier
  readonly #frame: Float64Array
  readonly #window: Float64Array
  readonly #after: Float64Array
  readonly #before: Float64Array
  readonly #binsPerPartial: number
  readonly #partials: number
  /** Of 2 pi lag / transform size. */
  readonly #turn: Float64Array
  /** Autocorrelation of the window at the lag. */
  readonly #overlap: Float64Array
  readonly #agreement: Float64Array

  /** Nothing above `topHz` is asked; at least partial 1 must lie below. */
  constructor(rateHz: number, targetHz: number, topHz: number) {
    this.stretch = Math.ceil(rateHz * Math.max(leastS, leastPeriods / targetHz))
    this.#recent = new Float64Array(2 * this.stretch + Math.ceil(memoryS * rateHz))
    this.#window = taper(this.stretch)
    let size = 16
    while (size < 2 * this.stretch) size *= 2
    this.#fourier = new RealFourier(size)
    this.#frame = new Float64Array(size)
    this.#after = new Float64Array(size / 2 + 1)
    this.#before = new Float64Array(size / 2 + 1)
    this.#binsPerPartial = (targetHz * size) / rateHz
    this.#partials = Math.max(1, Math.min(mostPartials, Math.floor(topHz / targetHz)))
    // Eight lags in a period of the highest partial: at most a tenth of its agreement is lost between two.
    const half = Math.ceil(8 * this.#partials * (2 ** (searchCents / 1200) - 1))
    const lags = Float64Array.from(
      { length: 2 * half + 1 },
      (_, i) => (rateHz / targetHz) * 2 ** (((i / half - 1) * searchCents) / 1200),
    )
    this.#turn = lags.map((lag) => (2 * Math.PI * lag) / size)
    this.#overlap = lags.map((lag) => overlapAt(this.#window, lag))
    this.#agreement = new Float64Array(lags.length)
  }

  push(sample: number): void {
    this.#recent[this.#at] = sample
    this.#at = this.#at + 1 === this.#recent.length ? 0 : this.#at + 1
  }

  /**
   * -1..1 about the newest stretch against the one before `ago` samples back, as far as it is remembered; 0: nothing grew.
   * Does not allocate.
   */
  ask(ago: number): number {
    const { stretch } = this
    this.#power(stretch, this.#after)
    this.#power(Math.min(ago + stretch, this.#recent.length), this.#before)
    const agreement = this.#agreement.fill(0)
    let weights = 0
    for (let k = 1; k <= this.#partials; k++) {
      const from = Math.ceil((k - 0.5) * this.#binsPerPartial)
      const to = Math.min(this.#after.length - 1, Math.floor((k + 0.5) * this.#binsPerPartial))
      weights += this.#addBand(agreement, from, to)
    }
    if (weights === 0) return 0
    let most = -1
    for (let lag = 0; lag < agreement.length; lag++) {
      most = Math.max(most, agreement[lag] / this.#overlap[lag] / weights)
    }
    return Math.min(1, most)
  }

  /** @returns the band's weight. */
  #addBand(agreement: Float64Array, from: number, to: number): number {
    const after = this.#after
    const before = this.#before
    let now = 0
    let then = 0
    for (let i = from; i <= to; i++) {
      now += after[i]
      then += before[i]
    }
    if (!(now > leastGrowth * then)) return 0
    const weight = Math.min(mostWeight, Math.log(now / then))
    const scale = weight / now
    for (let lag = 0; lag < agreement.length; lag++) {
      const turn = this.#turn[lag]
      // cos((n + 1) x) = 2 cos x cos(n x) - cos((n - 1) x): a band is some hundred bins at most.
      const twice = 2 * Math.cos(turn)
      let last = Math.cos((from - 1) * turn)
      let current = Math.cos(from * turn)
      let sum = 0
      for (let i = from; i <= to; i++) {
        sum += (after[i] - before[i]) * current
        const next = twice * current - last
        last = current
        current = next
      }
      agreement[lag] += scale * sum
    }
    return weight
  }

  /** Of the stretch that began `ago` samples back. */
  #power(ago: number, power: Float64Array): void {
    const recent = this.#recent
    let from = this.#at - ago
    if (from < 0) from += recent.length
    for (let i = 0; i < this.stretch; i++) {
      this.#frame[i] = this.#window[i] * recent[from]
      from = from + 1 === recent.length ? 0 : from + 1
    }
    this.#fourier.power(this.#frame, power)
  }
}

/** Half a sine: neighbours' skirts would fill the bands of weak partials, and a narrower window would waste the stretch. */
const taper = (n: number): Float64Array =>
  Float64Array.from({ length: n }, (_, i) => Math.sin((Math.PI * (i + 0.5)) / n))

/** What is left of the autocorrelation of a steady sound at a lag under the window. */
function overlapAt(window: Float64Array, lag: number): number {
  const whole = Math.floor(lag)
  const part = lag - whole
  let own = 0
  let shifted = 0
  for (let i = 0; i < window.length; i++) {
    own += window[i] * window[i]
    if (i + whole + 1 >= window.length) continue
    shifted += window[i] * ((1 - part) * window[i + whole] + part * window[i + whole + 1])
  }
  return shifted / own
}
