/**
 * When a string is plucked, heard sample by sample: a quickest-detection test on how far the channels at the string's
 * partials stand over what they were.
 *
 * The stream is lowered to about 8 kHz. One complex resonator of second order a partial (without a target: a third of an
 * octave) gives a power about every millisecond; over the noise expected there it is exponentially distributed, so the log
 * likelihood of "grown by `designRise`" against "as before" is a p/N - b. A pluck need not raise every channel: each answers
 * for a mixture of both. Summed over channels without the strongest ones (one drum mode or whistle is no pluck), and over
 * time by Page's cumulative sum (Page 1954, Biometrika 41:100-115; Lorden 1971, Ann. Math. Stat. 42:1897-1908: no test of the
 * same false-alarm rate is quicker in the worst case). The sum's last zero is where the change lies. Whitened band energies
 * as in Bello et al. 2005 (IEEE Trans. Speech Audio Process. 13:1035-1047); causal one-sided windows instead of frames,
 * because half a frame is latency. A second sum with a lower threshold finds weak plucks, and tells only of those that
 * have the period of the note (onsetperiod.ts). Arrangement: own. Not valid for crescendos slower than 0.1 s, which are
 * followed and not found, nor for a pluck that raises few channels by less than 3 dB over a string that still rings.
 */
import type { Spectrum } from '../maths/spectrum.ts'
import { Problem } from '../problem.ts'
import { Decimator } from './decimator.ts'
import { octaveThirds, partialBands, radius, throughBand } from './onsetbands.ts'
import { RisePeriod } from './onsetperiod.ts'

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

/** What grows for longer without being told is the room getting louder. */
const followedS = 0.1
/** Noise cannot seem to grow faster than by so much a time constant. */
const mostGrowth = 8
/** Under the loudest channel of the last ten seconds: what folds over in the lowering is no quieter. */
const leastNoise = 1e-8

/** Share of channels that a pluck is expected to raise: wherever it is picked, some partials are weak. */
const raisedShare = 0.6
/** One channel's evidence in a look, nepers at most. */
const mostEvidence = 6

/** Share of channels, the strongest, that do not count, and the sum at which an onset is told: at once ... */
const quick = { trimmedShare: 0.3, threshold: 14 } as const
/** ... and only if what grew has the period of the note. Both by trial: false onsets in noise against missed ones at 0 dB. */
const careful = { trimmedShare: 0.15, threshold: 9 } as const
/** Agreement with the period, by trial: strings that were found give 0.7 to 1, three in four drums, clicks and talks under 0.6. */
const confirming = 0.6
/** A pick's click and a knock last 25 ms or so (assumption) and have no period: whoever fails is asked again after such a time. */
const asks = 3
const patienceS = 0.02

/** `open`: not yet asked, or, without a target, never. `withdrawn`: it has not the period of the note. */
export type Standing = 'open' | 'confirmed' | 'withdrawn'

export class OnsetFinder {
  /** Sample index, from the stream's start, where the newest onset lies; NaN: none yet. */
  onsetSample = Number.NaN
  /** How sure, 0..1: 0.5 at the threshold; once asked, the agreement with the period of the note. */
  confidence = 0
  /**
   * Of the newest onset, decided once a `RisePeriod` stretch is heard, 28 ms (E4) to 36 ms (E2) after the pluck, and up to
   * 40 ms later where a click covers it. With a target only.
   */
  standing: Standing = 'open'

  readonly #decimator: Decimator
  readonly #quickChannels: number
  readonly #carefulChannels: number
  readonly #period: RisePeriod | null
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
  readonly #patience: number
  readonly #longest: number
  readonly #forgetting: number

  #dc = Number.NaN
  #outputs = 0
  #untilLook: number
  #looks = 0
  #lastOnset = Number.NEGATIVE_INFINITY
  #quickSum = 0
  /** Decimated index of the sum's last zero. */
  #quickZero = 0
  #carefulSum = 0
  #carefulZero = 0
  /** Decimated index of a change whose period is to be asked for; -1: none. */
  #asking = -1
  #asked = 0
  /** That of the newest onset. */
  #toldAt = -1
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
    this.#quickChannels = bands.length - trimmed(bands.length, quick.trimmedShare)
    this.#carefulChannels = bands.length - trimmed(bands.length, careful.trimmedShare)
    this.#period = targetHz === null ? null : new RisePeriod(rateHz, targetHz, Math.max(passHz, targetHz))
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
    // Well under the lowest string.
    this.#dcStep = 1 - Math.exp((-2 * Math.PI * 10) / sampleRateHz)
    const slowestS = bands.reduce((most, { decayPerS }) => Math.max(most, 1 / decayPerS), 0)
    // Four time constants: the channels have filled. Nothing can be told before.
    this.#warmUp = Math.round(Math.max(0.04, 4 * slowestS) * looksPerS)
    // A resonator that was struck grows by 3 dB more after so long; the noise of a pick lasts no shorter.
    this.#settling = Math.round(Math.max(0.012, 2.5 * slowestS) * looksPerS)
    // Followed slowly upwards, so that a pluck is no noise yet when it is told; faster down, because strings and drums fade.
    this.#rise = 1 / (0.25 * looksPerS)
    this.#fall = 1 / (0.1 * looksPerS)
    this.#patience = Math.round(patienceS * rateHz)
    this.#longest = Math.round(followedS * rateHz)
    this.#forgetting = Math.exp(-1 / (10 * looksPerS))
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
    this.#period?.push(this.#decimator.output)
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
    const settling = looks - this.#lastOnset <= this.#settling
    this.#listen(settling)
    if (looks <= this.#warmUp || settling) {
      this.#rest()
      return this.#asking >= 0 && this.#answer()
    }
    this.#sumUp()
    if (this.#quickSum >= quick.threshold) {
      this.#tell(this.#quickZero, this.#quickSum / (this.#quickSum + quick.threshold))
      this.standing = 'open'
      return true
    }
    if (this.#asking < 0 && this.#period !== null && this.#carefulSum >= careful.threshold) {
      this.#asking = this.#carefulZero
      this.#asked = 0
    }
    return this.#asking >= 0 && this.#answer()
  }

  /** Sorts the channels' evidence and follows their noise. */
  #listen(settling: boolean): void {
    const state = this.#state
    const noise = this.#noise
    const sorted = this.#sorted
    const warming = this.#looks <= this.#warmUp
    const suspicious = this.#quickSum > 0
    this.#loudest *= this.#forgetting
    for (let c = 0, i = 0; c < noise.length; c++, i += 4) {
      const power = this.#gain[c] * (state[i + 2] * state[i + 2] + state[i + 3] * state[i + 3])
      // Long before numbers become denormal and slow.
      if (power < 1e-200) state.fill(0, i, i + 4)
      if (power > this.#loudest) this.#loudest = power
      const expected = Math.max(noise[c], this.#room[c], leastNoise * this.#loudest)
      const ratio = power > 0 ? Math.min(mostEvidence, slope * (power / expected) - cost) : -cost
      const evidence = this.#weight[c] * Math.log(1 - raisedShare + raisedShare * Math.exp(ratio))
      let j = c
      while (j > 0 && sorted[j - 1] > evidence) {
        sorted[j] = sorted[j - 1]
        j--
      }
      sorted[j] = evidence
      if (warming) noise[c] += (power - noise[c]) / this.#looks
      else if (settling) noise[c] = Math.max(power, noise[c])
      else if (power < noise[c]) noise[c] += this.#fall * (power - noise[c])
      else if (!suspicious) noise[c] += this.#rise * (Math.min(power, mostGrowth * noise[c]) - noise[c])
    }
  }

  #sumUp(): void {
    const sorted = this.#sorted
    let gained = 0
    let c = 0
    while (c < this.#quickChannels) gained += sorted[c++]
    this.#quickSum += gained
    while (c < this.#carefulChannels) gained += sorted[c++]
    this.#carefulSum += gained
    const now = this.#outputs - 1
    if (this.#quickSum <= 0 || now - this.#quickZero > this.#longest) {
      this.#quickSum = 0
      this.#quickZero = now
    }
    if (this.#carefulSum <= 0 || now - this.#carefulZero > this.#longest) {
      this.#carefulSum = 0
      this.#carefulZero = now
    }
  }

  /** Asks for the period as soon as it can be answered. True: that told of an onset nobody knew of. */
  #answer(): boolean {
    const period = this.#period
    const ago = this.#outputs - this.#asking
    if (period === null || ago < period.stretch + 2 * this.#stride + this.#asked * this.#patience) return false
    const from = this.#asking
    const known = this.#lastOnset !== Number.NEGATIVE_INFINITY && from === this.#toldAt
    const agreement = period.ask(ago)
    this.#asked++
    if (agreement < confirming && this.#asked < asks) return false
    this.#asking = -1
    this.#asked = 0
    if (known) {
      this.standing = agreement >= confirming ? 'confirmed' : 'withdrawn'
      this.confidence = Math.max(0, agreement)
      return false
    }
    if (agreement < confirming) {
      this.#rest()
      return false
    }
    this.#tell(from, agreement)
    this.#asking = -1
    this.standing = 'confirmed'
    return true
  }

  #tell(at: number, confidence: number): void {
    this.onsetSample = at * this.#decimator.factor
    this.confidence = confidence
    this.#lastOnset = this.#looks
    this.#toldAt = at
    this.#asking = at
    this.#asked = 0
    this.#rest()
  }

  #rest(): void {
    this.#quickSum = 0
    this.#carefulSum = 0
    this.#quickZero = this.#outputs - 1
    this.#carefulZero = this.#outputs - 1
  }
}

const trimmed = (channels: number, share: number): number => (channels < 3 ? 0 : Math.round(share * channels))
