/**
 * A string that the growing fit has found, followed reading by reading: the span that begins with it grows, and is cut where its
 * newer half is the string no more.
 *
 * A span is cut when its newer half disagrees with the whole (growingdrift.ts): a pitch that still glides shortens its own span.
 * Both halves are fitted from the law of the reading before, so that few steps are needed.
 */
import { calmAfterS, PitchDrift } from './growingdrift.ts'
import { copyKnown, type Known } from './growingknown.ts'
import type { GrowingNoise } from './growingnoise.ts'
import { type GrowingSearch, leastEvidence } from './growingsearch.ts'
import type { GrowingTier } from './growingtier.ts'
import type { Reading, Weighing } from './method.ts'

export class FollowedString {
  /** Input sample at which the span begins. */
  start = 0
  readonly #sampleRateHz: number
  readonly #near: GrowingTier
  readonly #far: GrowingTier
  readonly #noise: GrowingNoise
  readonly #search: GrowingSearch
  /** The listener's own: what is said here is said there. */
  readonly #reading: Reading
  readonly #drift = new PitchDrift()
  #misses = 0
  /** Input sample at which the string began. */
  #begun = 0
  readonly #known: Known = {
    law: { f1Hz: 0, stiffness: 0 },
    doubt: { cents2: 0, both: 0, stiffness2: 0 },
  }
  /** Power of each partial in the last reading. */
  readonly #before: Float64Array
  /** Where the last answer was found. */
  #tier: GrowingTier
  #rung = 0

  constructor(
    sampleRateHz: number,
    near: GrowingTier,
    far: GrowingTier,
    noise: GrowingNoise,
    search: GrowingSearch,
    reading: Reading,
  ) {
    this.#sampleRateHz = sampleRateHz
    this.#near = near
    this.#far = far
    this.#noise = noise
    this.#search = search
    this.#reading = reading
    this.#before = new Float64Array(near.partials)
    this.#tier = near
  }

  /** What the pitches about the target are worth in the span of the last answer. */
  weigh(): Weighing {
    return this.#search.weigh(this.#tier, this.#rung, this.#known.law.stiffness)
  }

  /** From a span in which the search found the string. */
  begin(tier: GrowingTier, rung: number, start: number): void {
    this.#misses = 0
    this.#drift.forget()
    this.#begun = start
    this.start = start
    this.#say(tier, rung)
  }

  /** The reading rests on a rung that ends now. */
  restOn(tier: GrowingTier, rung: number): void {
    const reading = this.#reading
    const start = tier.startOf(rung)
    reading.fromSample = Math.min(Math.max(0, start - tier.reach), reading.toSample - 1)
    reading.atSample = Math.max(reading.fromSample, (start + (tier.outputs - 1) * tier.factor) / 2)
  }

  /**
   * Answers for the newest sample if the string is still there. False: it is over. `regular`: a reading of the usual hop, the
   * `hop`th.
   */
  follow(regular: boolean, hop: number): boolean {
    const noise = this.#noise
    const near = this.#near
    const far = this.#far
    const farRung = far.rungOf(far.since(this.start))
    const tier = farRung >= 0 ? far : near
    const rung = farRung >= 0 ? farRung : near.rungOf(near.since(this.start))
    if (rung < 0) return true
    const age = (this.#reading.toSample - this.#begun) / this.#sampleRateHz
    // Once readings move little, noise and newer part are looked at in turn: half of the computing.
    const turn = age < calmAfterS || !regular ? bothTurns : hop % 2
    if (turn !== newerTurn && regular && near.since(this.start) >= noise.length) {
      noise.hear(near.recent, near.end)
      noise.readGaps(this.#known.law)
    }
    copyKnown(this.#known, tier.frame)
    tier.load(rung)
    if (!this.#search.settle(tier, rung, followSteps) || !this.#search.isString(tier.frame)) {
      return ++this.#misses <= mostMisses
    }
    this.#misses = 0
    const early = regular || age < ridgeS
    if (tier === near && early && tier.frame.climbRidge(rung, noise.at)) {
      if (!this.#search.settle(tier, rung, ridgeSteps) || !this.#search.isString(tier.frame)) return true
    }
    this.#say(tier, rung)
    const seconds = tier.secondsOf(rung)
    if (turn !== noiseTurn) this.#compareNewer(seconds, age)
    const reading = this.#reading
    const { centsPerS, spreadPerS } = this.#drift
    if (centsPerS === 0) return true
    reading.f0Hz *= 2 ** ((centsPerS * seconds) / 2 / 1200)
    reading.spreadCents = Math.hypot(reading.spreadCents, (spreadPerS * seconds) / 2)
    reading.atSample = reading.toSample
    return true
  }

  /** Whether most partials of the newest span on a rung are stronger than in the last reading. */
  hasGrown(rung: number): boolean {
    const near = this.#near
    const { frame } = near
    near.load(rung)
    frame.score(rung, this.#known.law, frame.partials, this.#noise.at)
    let grown = 0
    let count = 0
    for (let k = 0; k < this.#far.partials; k++) {
      if (!(this.#before[k] > 0)) continue
      count++
      if (frame.measuredPower(rung, k) > grownRatio * this.#before[k]) grown++
    }
    return count > 0 && grown >= grownShare * count
  }

  #say(tier: GrowingTier, rung: number): void {
    const { law, evidence, spreadCents, power } = tier.frame
    const reading = this.#reading
    this.restOn(tier, rung)
    this.#tier = tier
    this.#rung = rung
    reading.f0Hz = law.f1Hz
    reading.spreadCents = spreadCents
    reading.confidence = Math.max(0, 1 - leastEvidence / evidence)
    copyKnown(tier.frame, this.#known)
    for (let k = 0; k < power.length; k++) this.#before[k] = power[k]
    if (tier.secondsOf(rung) * this.#near.rateHz >= this.#noise.length) this.#search.learn(tier)
  }

  /** Holds the newer half of a span against the whole, and begins there where the whole is the string no more. */
  #compareNewer(whole: number, age: number): void {
    const farRung = this.#far.rungOf((whole / 2) * this.#far.rateHz)
    const tier = farRung >= 0 ? this.#far : this.#near
    const rung = farRung >= 0 ? farRung : this.#near.rungOf((whole / 2) * this.#near.rateHz)
    this.#drift.centsPerS = 0
    if (rung < 0) return
    const { frame } = tier
    const wholeSpread = this.#reading.spreadCents
    copyKnown(this.#known, frame)
    tier.load(rung)
    if (!this.#search.settle(tier, rung, followSteps) || !this.#search.isString(frame)) return
    const apart = 1200 * Math.log2(frame.law.f1Hz / this.#known.law.f1Hz)
    if (!this.#drift.compare(apart, frame.spreadCents, wholeSpread, tier.secondsOf(rung), whole, age)) return
    this.start = tier.startOf(rung)
    copyKnown(frame, this.#known)
  }
}

/**
 * So long after it began pitch and stiffness of a string are looked for together at every reading, later at every fourth: two to
 * five periods of a guitar's strings leave B open (assumption).
 */
const ridgeS = 0.03
/** A followed law is near: the third step moves it by a thousandth of its spread. */
const followSteps = 2
/** From a law of the ridge, up to half a step of it off: 0.45 rad, halved by each measurement at worst (assumption). */
const ridgeSteps = 4
/** A new pluck raises most partials by 3 dB and more; noise alone by as much in few of them (both assumptions). */
const grownRatio = 2
const grownShare = 0.6
/** Readings in a row without a string, after which it is over: 43 ms at the usual hop, longer than a knock (assumption). */
const mostMisses = 3
/** Once readings are calm, noise and newer part are looked at in turn. */
const bothTurns = 2
const noiseTurn = 0
const newerTurn = 1
