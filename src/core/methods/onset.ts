/**
 * When a string is plucked, heard sample by sample: a quickest-detection test on how far the channels at the string's
 * partials stand over what they were.
 *
 * The stream is lowered to about 8 kHz. One complex resonator of second order a partial (without a target: a third of an
 * octave) gives a power about every millisecond; over the noise expected there it is exponentially distributed, so the log
 * likelihood of "grown by `designRise`" against "as before" is a p/N - b. These are summed over channels without the
 * strongest ones (one drum mode or whistle is no pluck), and over time by Page's cumulative sum (Page 1954, Biometrika
 * 41:100-115; Lorden 1971, Ann. Math. Stat. 42:1897-1908: no test of the same false-alarm rate is quicker in the worst case).
 * The sum's last zero is where the change lies. Whitened band energies as in Bello et al. 2005 (IEEE Trans. Speech Audio
 * Process. 13:1035-1047); causal one-sided windows instead of frames, because a frame's half is latency. Arrangement: own.
 * Not valid below about 20 Hz, and for crescendos slower than 0.1 s, which are followed and not found.
 */
import { densityAt, type Spectrum } from '../maths/spectrum.ts'
import { Problem } from '../problem.ts'
import { Decimator } from './decimator.ts'

export interface OnsetStream {
  readonly sampleRateHz: number
  /** The note in hand; null: any pluck. */
  readonly targetHz: number | null
  /** One-sided noise power density of the room, if it was learnt. */
  readonly room: Spectrum | null
}

/** From one look at the channels to the next. */
const lookS = 0.001

/** Power ratio the test is built for: 7 dB. Louder plucks are found sooner still. */
const designRise = 4
const slope = designRise / (1 + designRise)
const cost = Math.log(1 + designRise)

/** One channel's evidence in a look, nepers at most. */
const mostEvidence = 6
/** Share of channels, the strongest, that do not count. */
const trimmedShare = 0.3
const threshold = 14

export class OnsetFinder {
  /** Sample index, from the stream's start, where the newest onset lies; NaN: none yet. */
  onsetSample = Number.NaN
  /** Evidence over the threshold of the newest onset, 0..1. */
  confidence = 0

  readonly #decimator: Decimator
  readonly #trimmed: number
  readonly #stride: number
  readonly #poleRe: Float64Array
  readonly #poleIm: Float64Array
  readonly #gain: Float64Array
  /** Four numbers a channel: both stages' real and imaginary parts. */
  readonly #state: Float64Array
  /** What a channel's power is taken to be without a new pluck. */
  readonly #noise: Float64Array
  readonly #room: Float64Array
  readonly #weight: Float64Array
  readonly #sorted: Float64Array
  readonly #dcStep: number
  readonly #warmUp: number
  readonly #settling: number
  readonly #rise: number
  readonly #fall: number
  readonly #longest: number

  #dc = Number.NaN
  #outputs = 0
  #untilLook: number
  #looks = 0
  #lastOnset = Number.NEGATIVE_INFINITY
  #sum = 0
  /** Decimated index of the sum's last zero. */
  #zeroAt = 0
  #loudest = 0

  /** @throws Problem for a rate outside 8 to 192 kHz or a target that cannot be heard at it. */
  constructor(stream: OnsetStream) {
    const { sampleRateHz, targetHz, room } = stream
    if (!(sampleRateHz >= 8000 && sampleRateHz <= 192000))
      throw new Problem(`${sampleRateHz} is not between 8000 and 192000 Hz`, 'sampleRateHz')
    if (targetHz !== null && !(targetHz >= 20 && targetHz <= 0.3 * sampleRateHz))
      throw new Problem(`${targetHz} is not between 20 and ${0.3 * sampleRateHz} Hz`, 'targetHz')
    const passHz = Math.min(0.42 * sampleRateHz, Math.max(3000, 1.1 * (targetHz ?? 0)))
    const factor = Math.max(1, Math.floor(sampleRateHz / (2.6 * passHz)))
    this.#decimator = new Decimator(sampleRateHz, factor, passHz)
    const rateHz = sampleRateHz / factor
    const bands = targetHz === null ? octaveThirds(passHz) : partialBands(targetHz, passHz)
    this.#trimmed = bands.length < 3 ? 0 : Math.round(trimmedShare * bands.length)
    this.#stride = Math.max(1, Math.round(lookS * rateHz))
    this.#untilLook = this.#stride
    const looksPerS = rateHz / this.#stride
    this.#poleRe = Float64Array.from(
      bands,
      ({ hz, decayPerS }) => radius(decayPerS, rateHz) * Math.cos((2 * Math.PI * hz) / rateHz),
    )
    this.#poleIm = Float64Array.from(
      bands,
      ({ hz, decayPerS }) => radius(decayPerS, rateHz) * Math.sin((2 * Math.PI * hz) / rateHz),
    )
    this.#gain = Float64Array.from(bands, ({ decayPerS }) => (1 - radius(decayPerS, rateHz)) ** 4)
    this.#state = new Float64Array(4 * bands.length)
    this.#noise = new Float64Array(bands.length)
    this.#room = Float64Array.from(bands, (band) => (room === null ? 0 : throughBand(room, band)))
    // A channel says something new about every one and a half time constants.
    this.#weight = Float64Array.from(bands, ({ decayPerS }) => Math.min(1, decayPerS / (1.5 * looksPerS)))
    this.#sorted = new Float64Array(bands.length)
    this.#dcStep = 1 - Math.exp((-2 * Math.PI * 10) / sampleRateHz)
    const slowestS = bands.reduce((most, { decayPerS }) => Math.max(most, 1 / decayPerS), 0)
    this.#warmUp = Math.round(Math.max(0.04, 4 * slowestS) * looksPerS)
    this.#settling = Math.round(Math.max(0.03, 4 * slowestS) * looksPerS)
    this.#rise = 1 / (0.25 * looksPerS)
    this.#fall = 1 / (0.1 * looksPerS)
    this.#longest = Math.round(0.1 * looksPerS)
  }

  /**
   * Hears one sample, finite: the caller replaces broken ones by 0. True: this sample revealed a new onset. Does not
   * allocate.
   */
  push(sample: number): boolean {
    // A constant from the first sample on is silence.
    if (Number.isNaN(this.#dc)) this.#dc = sample
    const alternating = sample - this.#dc
    this.#dc += this.#dcStep * alternating
    if (!this.#decimator.push(alternating)) return false
    this.#resonate(this.#decimator.output)
    this.#outputs++
    if (--this.#untilLook > 0) return false
    this.#untilLook = this.#stride
    return this.#look()
  }

  #resonate(x: number): void {
    const state = this.#state
    const poleRe = this.#poleRe
    const poleIm = this.#poleIm
    for (let c = 0, i = 0; c < poleRe.length; c++, i += 4) {
      const pr = poleRe[c]
      const pi = poleIm[c]
      const re = pr * state[i] - pi * state[i + 1] + x
      const im = pr * state[i + 1] + pi * state[i]
      state[i] = re
      state[i + 1] = im
      const re2 = pr * state[i + 2] - pi * state[i + 3] + re
      state[i + 3] = pr * state[i + 3] + pi * state[i + 2] + im
      state[i + 2] = re2
    }
  }

  #look(): boolean {
    const looks = ++this.#looks
    const channels = this.#noise.length
    const state = this.#state
    const noise = this.#noise
    const warming = looks <= this.#warmUp
    const settling = looks - this.#lastOnset <= this.#settling
    const suspicious = this.#sum > 0
    this.#loudest *= 0.9999
    let kept = 0
    for (let c = 0, i = 0; c < channels; c++, i += 4) {
      const power = this.#gain[c] * (state[i + 2] * state[i + 2] + state[i + 3] * state[i + 3])
      if (power < 1e-200) state.fill(0, i, i + 4)
      if (power > this.#loudest) this.#loudest = power
      const expected = Math.max(noise[c], this.#room[c], 1e-8 * this.#loudest)
      const evidence = power > 0 ? Math.min(mostEvidence, slope * (power / expected) - cost) : -cost
      let j = kept++
      const weighted = evidence * this.#weight[c]
      while (j > 0 && this.#sorted[j - 1] > weighted) {
        this.#sorted[j] = this.#sorted[j - 1]
        j--
      }
      this.#sorted[j] = weighted
      if (warming) noise[c] += (power - noise[c]) / looks
      else if (settling) noise[c] = Math.max(power, noise[c])
      else if (power < noise[c]) noise[c] += this.#fall * (power - noise[c])
      else if (!suspicious) noise[c] += this.#rise * (Math.min(power, 8 * noise[c]) - noise[c])
    }
    if (warming || settling) {
      this.#rest()
      return false
    }
    let gained = 0
    for (let c = 0; c < channels - this.#trimmed; c++) gained += this.#sorted[c]
    this.#sum += gained
    if (this.#sum <= 0 || this.#outputs - this.#zeroAt > this.#longest * this.#stride) {
      this.#rest()
      return false
    }
    if (this.#sum < threshold) return false
    this.onsetSample = this.#zeroAt * this.#decimator.factor
    this.confidence = this.#sum / (this.#sum + threshold)
    this.#lastOnset = looks
    this.#rest()
    return true
  }

  #rest(): void {
    this.#sum = 0
    this.#zeroAt = this.#outputs - 1
  }
}

interface Band {
  readonly hz: number
  /** Of each of the two stages. */
  readonly decayPerS: number
}

const radius = (decayPerS: number, rateHz: number): number => Math.exp(-decayPerS / rateHz)

function partialBands(targetHz: number, passHz: number): Band[] {
  const bands: Band[] = []
  for (let k = 1; k <= 12 && (k === 1 || k * targetHz <= passHz); k++) {
    const halfHz = Math.min(150, Math.max(0.25 * targetHz, 0.05 * k * targetHz))
    bands.push({ hz: k * targetHz, decayPerS: 2 * Math.PI * halfHz })
  }
  return bands
}

function octaveThirds(passHz: number): Band[] {
  const bands: Band[] = []
  for (let hz = 80; hz < passHz; hz *= 2 ** (1 / 3))
    bands.push({ hz, decayPerS: 2 * Math.PI * Math.min(150, 0.2 * hz) })
  return bands
}

/** Power of a noise behind a band's resonator: unit gain in the middle, half of a one-sided density. */
function throughBand(room: Spectrum, { hz, decayPerS }: Band): number {
  const halfHz = decayPerS / (2 * Math.PI)
  let power = 0
  const step = halfHz / 8
  for (let offset = -16 * halfHz; offset <= 16 * halfHz; offset += step) {
    if (hz + offset <= 0) continue
    power += (densityAt(room, hz + offset) / 2) * step * (1 + (offset / halfHz) ** 2) ** -2
  }
  return power
}
