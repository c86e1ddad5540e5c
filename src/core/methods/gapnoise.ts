/**
 * How strong the noise is at each partial of a string, read midway between the partials, where the strings themselves are
 * weakest, or taken from what was learnt of the room if that is more.
 *
 * Six gaps around a partial, less the strongest and the weakest of them: a foreign line in one gap does not raise the noise
 * of its neighbours. Not valid where partials stand closer than about six bins of the window: lines then fill their gaps.
 */
export class GapNoise {
  readonly #rateHz: number
  readonly #binHz: number
  readonly #lobe: number
  readonly #windowEnergy: number
  readonly #roomPower: Float64Array | null
  readonly #gap: Float64Array
  readonly #near = new Float64Array(6)
  /** Last bin that may be read. */
  readonly #last: number

  /**
   * `lobe`: spectrum bins per bin of an unpadded transform; `windowEnergy`: sum of squares of the window; `roomPower`: what
   * the room alone would show per bin, null: not known.
   */
  constructor(spectrum: {
    readonly rateHz: number
    readonly binHz: number
    readonly lobe: number
    readonly windowEnergy: number
    readonly roomPower: Float64Array | null
    readonly bins: number
    readonly partials: number
  }) {
    this.#rateHz = spectrum.rateHz
    this.#binHz = spectrum.binHz
    this.#lobe = spectrum.lobe
    this.#windowEnergy = spectrum.windowEnergy
    this.#roomPower = spectrum.roomPower
    this.#last = spectrum.bins - 1
    this.#gap = new Float64Array(spectrum.partials + 1)
  }

  /** Reads the gaps of a Hann-windowed power spectrum between partials at `omega`, rad per sample. Does not allocate. */
  read(power: Float64Array, omega: Float64Array): void {
    const last = this.#last
    const gap = this.#gap
    const partials = gap.length - 1
    for (let k = 0; k < gap.length; k++) {
      const low = (k === 0 ? 0 : omega[k - 1]) / (2 * Math.PI)
      const high = k === partials ? low + omega[0] / (2 * Math.PI) : omega[k] / (2 * Math.PI)
      const middle = (((low + high) / 2) * this.#rateHz) / this.#binHz
      const spacing = ((high - low) * this.#rateHz) / this.#binHz
      // At three unpadded bins from a partial a Hann line is under -41 dB; a wide gap is used to a third of its width.
      const width = Math.max(0.25 * this.#lobe, Math.min(spacing / 2 - 3 * this.#lobe, spacing / 6))
      const from = Math.max(0, Math.min(last, Math.round(middle - width)))
      const to = Math.max(from, Math.min(last, Math.round(middle + width)))
      let sum = 0
      for (let i = from; i <= to; i++) sum += power[i]
      gap[k] = sum / ((to - from + 1) * this.#windowEnergy)
    }
  }

  /** Noise variance per sample at partial k + 1, which lies at `omega`: the middle four of the six nearest gaps. */
  at(k: number, omega: number): number {
    const gap = this.#gap
    const near = this.#near
    const last = gap.length - 1
    for (let i = 0; i < 6; i++) {
      const value = gap[Math.max(0, Math.min(last, k - 2 + i))]
      let j = i
      while (j > 0 && near[j - 1] > value) {
        near[j] = near[j - 1]
        j--
      }
      near[j] = value
    }
    const noise = (near[1] + near[2] + near[3] + near[4]) / 4 / middleFourOfSix
    const room = this.#roomPower
    if (room === null) return noise
    const bin = Math.min(room.length - 1, Math.round((omega * this.#rateHz) / (2 * Math.PI * this.#binHz)))
    return Math.max(noise, room[bin] / this.#windowEnergy)
  }
}

/** Mean of the middle four of six exponentially distributed powers over the mean of all. */
const middleFourOfSix = 0.846
