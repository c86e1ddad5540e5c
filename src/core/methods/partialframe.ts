/**
 * One frame of an aimed method: where its string is, partial by partial, and whether it is there at all.
 *
 * Search (combsearch.ts), peaks of the spectrum, then phase slopes of all partials at once (moments.ts), each time followed by
 * the guarded fit of the string's law (stringlaw.ts). Evidence is log(1 + power / noise) over the partials that agree.
 */
import { RealFourier } from '../maths/fourier.ts'
import { densityAt } from '../maths/spectrum.ts'
import { hann } from '../maths/windows.ts'
import type { AimedFrames } from './aimedwise.ts'
import { hasHoles } from './comboverlap.ts'
import { CombSearch, searchCents } from './combsearch.ts'
import { GapNoise } from './gapnoise.ts'
import { LawSearch } from './lawsearch.ts'
import type { Reading, Stream, Weighing } from './method.ts'
import { PartialMoments } from './moments.ts'
import { worthOf } from './partialworth.ts'
import { StiffnessMemory } from './stiffnessmemory.ts'
import { LawFit, partialHz, type StringLaw, stiffnessPrior } from './stringlaw.ts'

const centsPerRatio = 1200 / Math.LN2

/** Shares of the window that are cosine taper: narrow ones lose less to noise, wide ones keep out what lies above the partials. */
export interface Tapers {
  readonly noisy: number
  readonly quiet: number
}

export class PartialFrame {
  readonly #partials: number
  /** The topmost partials are measured only to take their cross-talk, and that of the next ones above, out of the others. */
  readonly fitted: number
  readonly #leastEvidence: number
  readonly #rateHz: number
  readonly #targetHz: number
  readonly #length: number
  readonly #windowed: Float64Array
  readonly #window: Float64Array
  readonly #fourier: RealFourier
  readonly #power: Float64Array
  readonly #binHz: number
  /** Spectrum bins per bin of an unpadded transform. */
  readonly #lobe: number
  readonly #noise: GapNoise
  /** Partials that stood well out of the noise in the last spectrum. */
  #peaks = 0
  /** Where the moments were measured. */
  readonly measured: StringLaw = { f1Hz: 0, stiffness: 0 }
  /** Power of the strongest partial. */
  #strongest = 0
  readonly #search: CombSearch
  readonly #near: LawSearch
  /** Of the string's stiffness, from frames before this one. */
  readonly memory: StiffnessMemory
  moments: PartialMoments
  readonly #inQuiet: PartialMoments
  readonly #inNoise: PartialMoments
  readonly #quietRatio: number
  /** Highest ratio of a peak to the noise under it, over the partials. */
  #clearest = 0
  readonly fit: LawFit
  readonly law: StringLaw = { f1Hz: 0, stiffness: 0 }
  readonly omega: Float64Array
  readonly #offset: Float64Array
  readonly #worth: Float64Array
  readonly #variance: Float64Array

  constructor({ room }: Stream, { targetHz, rateHz, length, partials, passHz, hopS }: AimedFrames, tapers: Tapers) {
    this.#partials = partials
    const spacingBins = (targetHz * length) / rateHz
    this.#leastEvidence = leastEvidence(room !== null, partials, spacingBins)
    this.#quietRatio = quietRatio * spacingBins ** 4
    this.fitted = partials > 6 ? partials - Math.min(2, Math.floor(guardBins / spacingBins)) : partials
    this.#rateHz = rateHz
    this.#targetHz = targetHz
    this.#length = length
    this.#windowed = new Float64Array(length)
    this.#window = hann(length)
    const windowEnergy = this.#window.reduce((sum, w) => sum + w * w, 0)
    let size = 16
    while (size < 2 * length) size *= 2
    this.#fourier = new RealFourier(size)
    this.#power = new Float64Array(size / 2 + 1)
    this.#binHz = rateHz / size
    this.#lobe = size / length
    const bins = Math.min(this.#power.length, Math.ceil(passHz / this.#binHz) + 4)
    const roomPower =
      room === null
        ? null
        : Float64Array.from({ length: bins }, (_, i) => (densityAt(room, i * this.#binHz) / 2) * rateHz * windowEnergy)
    this.#search = new CombSearch(targetHz, partials, this.#binHz, bins, (2 * rateHz) / length, roomPower)
    this.memory = new StiffnessMemory(length / rateHz, hopS)
    const share = Math.min(1, (hopS * rateHz) / length)
    this.#near = new LawSearch(partials, this.#binHz, this.#lobe, bins, share, stiffnessPrior(targetHz))
    this.#noise = new GapNoise({
      ...{ rateHz, binHz: this.#binHz, lobe: this.#lobe },
      ...{ windowEnergy, roomPower, bins, partials },
    })
    this.#inQuiet = new PartialMoments(length, partials, tapers.quiet)
    this.#inNoise = new PartialMoments(length, partials, tapers.noisy)
    this.moments = this.#inQuiet
    this.fit = new LawFit(partials)
    this.omega = new Float64Array(partials)
    this.#worth = new Float64Array(partials)
    this.#offset = new Float64Array(partials)
    this.#variance = new Float64Array(partials)
  }

  /** Brings `law` to the string that stands out most; false: nothing to hold on to. */
  find(frame: Float64Array): boolean {
    for (let i = 0; i < frame.length; i++) this.#windowed[i] = frame[i] * this.#window[i]
    this.#fourier.power(this.#windowed, this.#power)
    this.#search.search(this.#power)

    const memory = this.memory
    memory.next()
    memory.advance()
    const law = this.law
    law.f1Hz = this.#search.law.f1Hz
    law.stiffness = this.#search.law.stiffness
    this.#near.load(this.#power, this.#search.noise)
    let found = this.#followPeaks(this.#search.partials)
    if (found && this.#search.partials < this.#partials) found = this.#followPeaks(this.#partials)
    if (!found || this.#peaks < clearShare * this.#partials) this.#startFromSearch(found)

    this.moments = this.#clearest < this.#quietRatio ? this.#inNoise : this.#inQuiet
    this.moments.load(frame)
    let moved = this.#followPhases()
    if (moved > retryRad) moved = this.#followPhases()
    return moved >= 0
  }

  /** What each pitch was worth to the coarse search of the last frame. Allocates. */
  weigh(): Weighing {
    return this.#search.weigh()
  }

  /** Peaks are few: the law they gave stands only if nothing near explains the last frames better. */
  #startFromSearch(found: boolean): void {
    const near = this.#near
    const { law } = this
    near.search(this.#search.law, this.#search.stepCents + coarseCents, this.memory)
    if (found && near.scoreOf(law) >= near.score) return
    if (found && near.scoreNow(law) > near.scoreNow(near.law) + clearNepers) return
    law.f1Hz = near.law.f1Hz
    law.stiffness = near.law.stiffness
  }

  /** Improves the law by the spectrum's peaks next to where it puts its partials. */
  #followPeaks(partials: number): boolean {
    this.#peaks = 0
    this.#clearest = 0
    const power = this.#power
    const law = this.law
    const { noise } = this.#search
    for (let k = 1; k <= partials; k++) {
      this.#variance[k - 1] = Number.POSITIVE_INFINITY
      const hz = partialHz(law, k)
      const place = hz / this.#binHz
      const from = Math.max(1, Math.ceil(place - this.#lobe))
      const to = Math.min(noise.length - 2, Math.floor(place + this.#lobe))
      let peak = from
      for (let i = from + 1; i <= to; i++) if (power[i] > power[peak]) peak = i
      if (peak > to || power[peak - 1] > power[peak] || power[peak + 1] > power[peak]) continue
      const ratio = power[peak] / noise[peak]
      if (ratio > this.#clearest) this.#clearest = ratio
      if (ratio < audibleRatio) continue
      const left = Math.log(power[peak - 1])
      const middle = Math.log(power[peak])
      const right = Math.log(power[peak + 1])
      const curve = left - 2 * middle + right
      const shift = curve < 0 ? (0.5 * (left - right)) / curve : 0
      if (ratio > clearRatio) this.#peaks++
      const perBin = (centsPerRatio * this.#binHz) / hz
      this.#offset[k - 1] = (peak + shift - place) * perBin
      this.#variance[k - 1] = (perBin * this.#lobe) ** 2 * (peakVariance / ratio + peakBias2)
    }
    return this.#move(partials)
  }

  /** Improves the law by the phase slopes of all partials. Answers how far the highest moved, rad in half a frame; NaN: lost. */
  #followPhases(): number {
    const partials = this.#partials
    const law = this.law
    const moments = this.moments
    const omega = this.omega
    for (let k = 1; k <= partials; k++) omega[k - 1] = (2 * Math.PI * partialHz(law, k)) / this.#rateHz
    this.measured.f1Hz = law.f1Hz
    this.measured.stiffness = law.stiffness
    moments.measure(omega, partials)
    this.#noise.read(this.#power, omega)
    this.#strongest = 0
    for (let k = 0; k < partials; k++) if (moments.power[k] > this.#strongest) this.#strongest = moments.power[k]
    for (let k = 0; k < partials; k++) {
      const toCents = centsPerRatio / omega[k]
      const turn = Math.abs(moments.errorRad[k]) * (this.#length / 2)
      const noise = this.noiseAt(k)
      // Noise adds itself to the power that is seen; what is left is the string's.
      const power = moments.power[k] - noise / moments.detectGain
      const variance = moments.errorGain * (noise / power)
      this.#offset[k] = moments.errorRad[k] * toCents
      this.#variance[k] = turn < retryRad * 2 && power > 0 ? variance * toCents * toCents : Number.POSITIVE_INFINITY
    }
    const before = partialHz(law, this.fitted)
    if (!this.#move(this.fitted)) return Number.NaN
    return (Math.PI * Math.abs(partialHz(law, this.fitted) - before) * this.#length) / this.#rateHz
  }

  #move(partials: number): boolean {
    const law = this.law
    if (!this.fit.fit(law, this.#offset, this.#variance, partials)) return false
    law.f1Hz *= 2 ** (this.fit.shiftCents / 1200)
    law.stiffness = this.fit.stiffness
    // A law that wandered off is no string near the target.
    return Math.abs(1200 * Math.log2(law.f1Hz / this.#targetHz)) < searchCents + 25 && Math.abs(law.stiffness) < 2e-3
  }

  /** Noise variance per sample at partial k + 1. */
  noiseAt(k: number): number {
    return Math.max(this.#noise.at(k, this.omega[k]), this.#strongest * leastNoise * this.moments.detectGain)
  }

  /** By how much of its middle amplitude the string grows in half a frame, by power; `lessNoise`: by the power that is the string's. */
  #rise(lessNoise: boolean): number {
    const { power, decay, detectGain } = this.moments
    let sum = 0
    let all = 0
    for (let k = 0; k < this.fitted; k++) {
      sum -= power[k] * decay[k]
      all += lessNoise ? power[k] - this.noiseAt(k) / detectGain : power[k]
    }
    return ((sum / Math.max(0, all)) * (this.#length - 1)) / 2
  }

  /** Whether the string begins in the frame, too late to be read: a step that fills the share f of a frame grows by 3 (1 - f). */
  #hasJustBegun(): boolean {
    const rise = this.#rise(true)
    const filled = Math.max(0, 1 - rise / 3)
    return rise > sureRise && (filled * this.#length * this.law.f1Hz) / this.#rateHz < fewestPeriods
  }

  /** Fills the reading from `law` and the fit's spread, unless what was found is no more than noise has. */
  answer(reading: Reading): void {
    const worth = this.#worth
    let evidence = searchShare * this.#search.score
    for (let k = 0; k < this.fitted; k++) {
      const ratio = (this.moments.power[k] * this.moments.detectGain) / this.noiseAt(k)
      worth[k] = this.fit.trust[k] * worthOf(ratio)
      evidence += worth[k]
    }
    const least = this.#leastEvidence
    if (evidence < least || hasHoles(worth, this.fitted)) return
    if (this.#hasJustBegun()) return
    if (this.#rise(false) < mostRise) this.memory.keep(this.fit.ownStiffness, this.fit.ownPrecision)
    reading.f0Hz = this.law.f1Hz
    reading.spreadCents = this.fit.spreadCents
    reading.confidence = 1 - least / evidence
  }
}
/** Noise has such a peak at a partial once in two thousand; where most partials show one, peaks tell the law. */
const clearRatio = 15
const clearShare = 0.6
/** The coarse search's three stiffnesses are up to 7.5e-5 off, which moves its pitch by this much. */
const coarseCents = 6
/** A note that moves is where this frame says, not where the last ones were. */
const clearNepers = 6
/**
 * Times the fourth power of a partial's spacing in bins: 35 dB at E2 in 85 ms, 59 dB at E4. In quiet a Hann window's own skirts leave
 * 42 and 77 dB at least, strings at 20 dB white have 37..43 and 48..51. Where this is not reached, noise moves f1 by more than twice
 * what the narrow taper lets through from above the partials (0.06, 0.04, 0.01 c at E2, A2, D3, less further up).
 */
const quietRatio = 1.3
/** A frame in whose course the string begins is no measure of its stiffness. */
const mostRise = 0.03
/**
 * Of a string that begins within the frame: with fewer periods its partials cannot be told apart yet. Measured at 20 dB white, 1 to
 * 2 periods: half the readings over 40 c off, by their own word 1 c; 4: a tenth over 11 c; from 5 on, half within 0.7 c (claims.md).
 */
const fewestPeriods = 5
/** Begun within the frame beyond doubt, five sixths of it filled: what noise makes of a steady string at -10 dB stays under it. */
const sureRise = 0.5
/** Unmodelled lines nearer than this many bins move a partial's slope by more than a thousandth of a radian. */
const guardBins = 16
/** A frequency error that turns this much in half a frame is measured again: beyond, the linear term stops being one. */
const retryRad = 0.6
/** Peaks under this ratio to the noise are as likely noise: the mean of exponential powers exceeds it once in 150. */
const audibleRatio = 5
/** A Hann peak's frequency variance in squared unpadded bins times its ratio (Cramer-Rao 0.15, window loss 2.3). */
const peakVariance = 0.35
/** The parabola's own error in squared unpadded bins: a hundredth of a bin at padding 2. */
const peakBias2 = 1e-4
/** -100 dB: what lies this far under the strongest partial is no partial, whatever the gaps say; rounding and skirts are above it. */
const leastNoise = 1e-10
/** The search's own sum counts too: its noise is a quartile, which bursts raise less than they raise the gaps. */
const searchShare = 2

/**
 * What white and pink noise stay under in 99 % of frames, measured over 48 s of each for targets 41 to 659 Hz, windows 2048 to
 * 8192 and up to 22 partials: 31 to 46 nepers with ten partials searched and the room not learnt, most where partials stand
 * 5 to 9 bins apart (gaps of one bin tell the noise badly); 19 to 30 with the room learnt; 18 to 20 with five searched.
 * Noise that comes and goes passes more often where it is not learnt: crowd in up to 7 %, babble in up to 18 % of frames,
 * 1.4 % when learnt; those readings do not stay together.
 */
function leastEvidence(learnt: boolean, partials: number, spacingBins: number): number {
  const searched = Math.min(partials, 10)
  // Every further partial gives noise another chance: measured over 40 s each with 18 and 24 partials, 1.5 to 3.5 nepers in all.
  const further = 0.25 * (partials - searched)
  if (learnt) return 6 + 2.4 * searched + further
  return 9 + 2.5 * searched + 1.2 * Math.min(7, Math.max(0, 12 - spacingBins)) + further
}
