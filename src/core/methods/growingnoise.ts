/**
 * What the growing fit knows of the noise: a frame of about nine periods is looked at while it waits and while it follows.
 *
 * While no string is followed its spectra are averaged (the room, unless it was learnt beforehand), the newest ones only
 * after a while, so that a pluck that is just being found is not taken for noise. While one is followed the gaps between its
 * partials tell the noise of the moment (gapnoise.ts), as soon as the frame lies wholly inside the span. The same frame
 * serves the search for a string that was not seen to begin (combsearch.ts).
 */
import { RealFourier } from '../maths/fourier.ts'
import { densityAt, type Spectrum } from '../maths/spectrum.ts'
import { hann } from '../maths/windows.ts'
import { CombSearch } from './combsearch.ts'
import { GapNoise } from './gapnoise.ts'
import { partialHz, type StringLaw } from './stringlaw.ts'

export class GrowingNoise {
  /** Samples of its frame, odd. */
  readonly length: number
  readonly search: CombSearch
  readonly #rateHz: number
  readonly #window: Float64Array
  readonly #windowed: Float64Array
  readonly #fourier: RealFourier
  /** Of the frame that was looked at last. */
  readonly power: Float64Array
  readonly #binHz: number
  readonly #energy: number
  readonly #room: Spectrum | null
  readonly #gaps: GapNoise
  readonly #omega: Float64Array
  /** Bins to either side that are averaged over. */
  readonly #around: number
  readonly #known: Float64Array
  readonly #waiting: readonly Float64Array[]
  #waitingFilled = 0
  #waitingAt = 0
  #learntFrames = 0
  #gapsValid = false

  /** How much sound its frame is. */
  static secondsFor(targetHz: number): number {
    return Math.max(shortestS, periods / targetHz)
  }

  constructor(rateHz: number, targetHz: number, partials: number, passHz: number, room: Spectrum | null) {
    this.#rateHz = rateHz
    const wanted = Math.round(rateHz * GrowingNoise.secondsFor(targetHz))
    this.length = wanted % 2 === 0 ? wanted + 1 : wanted
    this.#window = hann(this.length)
    this.#windowed = new Float64Array(this.length)
    let size = 16
    while (size < 2 * this.length) size *= 2
    this.#fourier = new RealFourier(size)
    this.power = new Float64Array(size / 2 + 1)
    this.#binHz = rateHz / size
    this.#energy = this.#window.reduce((sum, w) => sum + w * w, 0)
    const bins = Math.min(this.power.length, Math.ceil(passHz / this.#binHz) + 4)
    const roomPower =
      room === null
        ? null
        : Float64Array.from({ length: bins }, (_, i) => (densityAt(room, i * this.#binHz) / 2) * rateHz * this.#energy)
    this.#room = room
    this.search = new CombSearch(targetHz, partials, this.#binHz, bins, (2 * rateHz) / this.length, roomPower)
    this.#gaps = new GapNoise({
      ...{ rateHz, binHz: this.#binHz, lobe: size / this.length },
      ...{ windowEnergy: this.#energy, roomPower, bins, partials },
    })
    this.#omega = new Float64Array(partials)
    this.#around = Math.max(1, Math.round((0.12 * targetHz) / this.#binHz))
    this.#known = new Float64Array(this.power.length)
    this.#waiting = Array.from({ length: waitingFrames }, () => new Float64Array(this.power.length))
  }

  /** Looks at the newest `length` samples before index `end`. */
  hear(samples: Float64Array, end: number): void {
    const from = end - this.length
    for (let i = 0; i < this.length; i++) this.#windowed[i] = samples[from + i] * this.#window[i]
    this.#fourier.power(this.#windowed, this.power)
  }

  /** What was looked at holds no string, as far as is known. */
  learn(): void {
    const oldest = this.#waiting[this.#waitingAt]
    if (this.#waitingFilled === waitingFrames) {
      this.#learntFrames++
      const share = Math.max(forget, 1 / this.#learntFrames)
      const known = this.#known
      for (let i = 0; i < known.length; i++) known[i] += share * (oldest[i] - known[i])
    } else {
      this.#waitingFilled++
    }
    oldest.set(this.power)
    this.#waitingAt = (this.#waitingAt + 1) % waitingFrames
  }

  /** A string begins: what waits to be learnt may hold it already. */
  dropWaiting(): void {
    this.#waitingFilled = 0
    this.#gapsValid = false
  }

  /** What was looked at holds a string of this law throughout. */
  readGaps(law: StringLaw): void {
    for (let k = 0; k < this.#omega.length; k++) this.#omega[k] = (2 * Math.PI * partialHz(law, k + 1)) / this.#rateHz
    this.#gaps.read(this.power, this.#omega)
    this.#gapsValid = true
  }

  forgetGaps(): void {
    this.#gapsValid = false
  }

  /** There is something to compare a string with. */
  get isKnown(): boolean {
    return this.#gapsValid || this.#room !== null || this.#learntFrames > 0
  }

  /** One-sided noise power density at partial k + 1, which lies at `hz`. */
  readonly at = (k: number, hz: number): number => {
    if (this.#gapsValid) return (2 * this.#gaps.at(k, (2 * Math.PI * hz) / this.#rateHz)) / this.#rateHz
    if (this.#room !== null) return densityAt(this.#room, hz)
    const known = this.#known
    const bin = Math.round(hz / this.#binHz)
    const from = Math.max(0, bin - this.#around)
    const to = Math.min(known.length - 1, bin + this.#around)
    let sum = 0
    for (let i = from; i <= to; i++) sum += known[i]
    return (2 * sum) / ((to - from + 1) * this.#energy * this.#rateHz)
  }
}

/** Nine periods: gaps between partials then stand nine bins wide, the least at which lines leave them free. */
const periods = 9.5
const shortestS = 0.06
/** At the usual hop 43 ms: longer than an onset takes to be found. */
const waitingFrames = 4
/** Half a second at the usual hop. */
const forget = 0.02
