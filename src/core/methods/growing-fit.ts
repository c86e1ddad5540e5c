/**
 * Reads one string aimed at from a span that begins where the string does and grows with it: early readings come soon, later
 * ones are fine.
 *
 * An onset (onset.ts) opens a span; every reading fits all partials of a stiff string to what was heard since
 * (growingframe.ts). Information grows as the third power of the span, so a span never holds less than it could. It is cut
 * when its newer half disagrees with the whole: a pitch that still glides shortens its own span (Lepski 1991, Theory Probab.
 * Appl. 35:454-466, of which this is the simplest case). A string that was not seen to begin is searched for in what was heard
 * last. Declines when partials that agree do not exceed the noise by what chance has. Source: own.
 * Not valid under two periods; nothing can tell a settled pitch while the string itself still glides: with 5 c in 40 ms that
 * is before about 120 ms.
 */

import { Problem } from '../problem.ts'
import { aimedFields } from './aimedwise.ts'
import { searchCents } from './combsearch.ts'
import type { GrowingFrame, StiffnessPrior } from './growingframe.ts'
import { GrowingNoise } from './growingnoise.ts'
import { GrowingTier } from './growingtier.ts'
import { type Listener, method, type Reading, type Stream } from './method.ts'
import { OnsetFinder } from './onset.ts'
import { priorStiffness, priorStiffnessSd, type StringLaw } from './stringlaw.ts'

const fields = {
  hop: aimedFields.hop,
  partials: { ...aimedFields.partials, default: 24 },
  longestMs: {
    default: 350,
    min: 120,
    max: 1000,
    unit: 'ms',
    help: 'How far back a reading may listen once the string has sounded as long.',
  },
} as const

export const growingFit = method({
  id: 'growing-fit',
  title: 'Growing fit',
  source: 'own: least squares of all partials over a span that grows from the onset',
  family: 'aimed',
  fields,
  open: (stream, values) => new GrowingListener(stream, values.hop, values.partials, values.longestMs / 1000),
})

/** The pluck itself is no string yet. */
const attackS = 0.0015
/**
 * What the fit's own spread does not know: where a span ends, and which partials are passed, hang on the note aimed at. Targets
 * moved by 100 c move the readings of one pluck by up to 0.05 c rms (E2, white noise at 20 dB; 0.02 on D3).
 */
const aimSpreadCents = 0.06
/** Shorter spans do not tell partials apart. */
const leastPeriods = 2.25
const leastS = 0.012
/** Fresh strings sound up to here. */
const brightHz = 8000
/** Long spans hear fewer partials. */
const dullHz = 3000
const dullPartials = 24

class GrowingListener implements Listener {
  readonly #targetHz: number
  readonly #sampleRateHz: number
  readonly #fastHop: number
  readonly #onset: OnsetFinder
  /** Short spans and long ones. */
  readonly #near: GrowingTier
  readonly #far: GrowingTier
  readonly #noise: GrowingNoise
  readonly #least: number
  #heard = 0
  #tick = 0
  #nextTick: number
  /** Input sample before which nothing may be used: broken ones. */
  #floor = 0
  /** Input sample at which the newest onset's string begins; negative: none that counts. */
  #onsetAt = -1
  #fastUntil = 0
  #following = false
  #start = 0
  #misses = 0
  /** Input sample at which the string began that is followed. */
  #begun = 0
  /** Cents per second that the pitch moves, as far as it is sure, and how sure that is. */
  #drift = 0
  #driftSpread = 0
  /** To which side the newer part disagreed the last time; 0: it did not. */
  #disagreed = 0
  readonly #prior: StiffnessPrior = { mean: priorStiffness, sd: priorStiffnessSd }
  #bestStiffnessSd = priorStiffnessSd
  readonly #law: StringLaw = { f1Hz: 0, stiffness: 0 }
  /** How well `#law` is known. */
  readonly #doubted = { cents2: 0, both: 0, stiffness2: 0 }
  readonly #before: Float64Array
  readonly #reading: Reading = { fromSample: 0, toSample: 0, atSample: 0, f0Hz: 0, confidence: 0, spreadCents: 0 }

  constructor(stream: Stream, hop: number, partials: number, longestS: number) {
    const { targetHz, sampleRateHz, room } = stream
    if (targetHz === null) throw new Problem('this method must be told which note is in hand', 'targetHz')
    if (!(targetHz >= 20)) throw new Problem(`${targetHz} is below 20 Hz`, 'targetHz')
    const limitHz = 0.25 * sampleRateHz
    if (targetHz > limitHz)
      throw new Problem(`${targetHz} is above ${Math.floor(limitHz)} Hz at this sample rate`, 'targetHz')
    this.#targetHz = targetHz
    this.#sampleRateHz = sampleRateHz
    this.#fastHop = Math.ceil(hop / 4)
    this.#nextTick = this.#fastHop
    const shortestS = Math.max(leastS, leastPeriods / targetHz)
    const frameS = GrowingNoise.secondsFor(targetHz)
    this.#near = new GrowingTier(sampleRateHz, targetHz, {
      ...{ partials, usefulHz: brightHz },
      ...{ shortestS, longestS: 1.05 * frameS, mostSamples: Number.POSITIVE_INFINITY },
    })
    this.#far = new GrowingTier(sampleRateHz, targetHz, {
      ...{ partials: Math.min(partials, dullPartials), usefulHz: dullHz },
      ...{ shortestS: frameS, longestS: Math.max(longestS, 1.4 * frameS), mostSamples: Number.POSITIVE_INFINITY },
    })
    this.#noise = new GrowingNoise(this.#near.rateHz, targetHz, this.#near.partials, this.#near.passHz, room)
    this.#before = new Float64Array(this.#near.partials)
    this.#least = 28
    this.#onset = new OnsetFinder({ sampleRateHz, targetHz, room })
  }

  push(samples: Float32Array, emit: (reading: Readonly<Reading>) => void): void {
    for (let i = 0; i < samples.length; i++) {
      let sample = samples[i]
      // x - x is 0 for every finite x and NaN for the rest; a broken sample must not stay in a filter.
      if (sample - sample !== 0) {
        sample = 0
        this.#breakAt(this.#heard)
      }
      if (this.#onset.push(sample)) this.#noteOnset(this.#onset.onsetSample)
      this.#heard++
      this.#near.hear(sample)
      this.#far.hear(sample)
      if (this.#heard < this.#nextTick) continue
      this.#nextTick += this.#fastHop
      this.#tick++
      const regular = this.#tick % 4 === 0
      if (!regular && this.#heard >= this.#fastUntil) continue
      this.#answer(regular)
      emit(this.#reading)
    }
  }

  #breakAt(sample: number): void {
    this.#floor = sample + 1 + this.#far.reach
    this.#following = false
    this.#onsetAt = -1
    this.#fastUntil = 0
    this.#noise.dropWaiting()
  }

  #noteOnset(sample: number): void {
    const at = sample + attackS * this.#sampleRateHz
    if (at < this.#floor) return
    this.#onsetAt = at
    this.#fastUntil = at + fastS * this.#sampleRateHz
    if (!this.#following) this.#noise.dropWaiting()
  }

  #answer(regular: boolean): void {
    const reading = this.#reading
    reading.toSample = this.#heard
    reading.f0Hz = Number.NaN
    reading.confidence = 0
    reading.spreadCents = Number.NaN
    this.#restOn(this.#near, 0)
    if (this.#onsetAt >= 0 && this.#onset.standing === 'withdrawn') this.#withdrawOnset()
    if (this.#following) this.#judgeOnset()
    if (this.#following) this.#follow(regular)
    if (!this.#following) this.#seek(regular)
    reading.spreadCents = Math.hypot(reading.spreadCents, aimSpreadCents)
  }

  /** What began has not the note's period: a drum, a knock. */
  #withdrawOnset(): void {
    if (this.#following && this.#start === this.#onsetAt) this.#lose()
    this.#onsetAt = -1
    this.#fastUntil = 0
  }

  /** The reading rests on a rung that ends now. */
  #restOn(tier: GrowingTier, rung: number): void {
    const reading = this.#reading
    const start = tier.startOf(rung)
    reading.fromSample = Math.min(Math.max(0, start - tier.reach), reading.toSample - 1)
    reading.atSample = Math.max(reading.fromSample, (start + (tier.outputs - 1) * tier.factor) / 2)
  }

  #seek(regular: boolean): void {
    const near = this.#near
    const noise = this.#noise
    const age = this.#onsetAt < 0 ? Number.POSITIVE_INFINITY : near.since(this.#onsetAt)
    if (age < noise.length) {
      const rung = near.rungOf(age)
      if (rung >= 0 && noise.isKnown && this.#searchShort(rung)) this.#begin(near, rung, this.#onsetAt)
      if (this.#following || age < 0.8 * noise.length) return
    }
    if (!regular || near.since(this.#floor) < noise.length) return
    noise.hear(near.recent, near.end)
    noise.search.search(noise.power)
    if (noise.search.score < idleScore * noise.search.partials) {
      noise.forgetGaps()
      noise.learn()
      return
    }
    const { law } = near.frame
    law.f1Hz = noise.search.law.f1Hz
    law.stiffness = noise.search.law.stiffness
    noise.readGaps(law)
    this.#doubt(near.frame, noise.search.stepCents / 2, 4e-5)
    if (!this.#climb(near, near.rungOf(noise.length))) {
      noise.forgetGaps()
      noise.learn()
    }
  }

  /** Fits the newest spans, longer and longer, until they show a string. */
  #climb(tier: GrowingTier, from: number): boolean {
    for (let rung = from; rung >= 0; ) {
      tier.load(rung)
      if (!this.#settle(tier, rung, 6)) return false
      if (this.#isString(tier.frame)) {
        this.#begin(tier, rung, tier.startOf(rung))
        return true
      }
      const wanted = Math.min(1.6 * tier.secondsOf(rung) * this.#far.rateHz, this.#far.since(this.#floor))
      const next = this.#far.rungOf(wanted)
      if (next < 0 || this.#far.secondsOf(next) < 1.1 * tier.secondsOf(rung)) return false
      if (tier !== this.#far) this.#handOver(tier.frame, this.#far.frame)
      return this.#climbFar(next)
    }
    return false
  }

  #climbFar(from: number): boolean {
    const tier = this.#far
    for (let rung = from; ; ) {
      tier.load(rung)
      if (!this.#settle(tier, rung, 4)) return false
      if (this.#isString(tier.frame)) {
        this.#begin(tier, rung, tier.startOf(rung))
        return true
      }
      const next = tier.rungOf(Math.min(1.6 * tier.frame.lengths[rung], tier.since(this.#floor)))
      if (next <= rung) return false
      rung = next
    }
  }

  #know({ law, doubt }: GrowingFrame): void {
    this.#law.f1Hz = law.f1Hz
    this.#law.stiffness = law.stiffness
    this.#doubted.cents2 = doubt.cents2
    this.#doubted.both = doubt.both
    this.#doubted.stiffness2 = doubt.stiffness2
  }

  /** Starts from what is known. */
  #recall({ law, doubt }: GrowingFrame): void {
    law.f1Hz = this.#law.f1Hz
    law.stiffness = this.#law.stiffness
    doubt.cents2 = this.#doubted.cents2
    doubt.both = this.#doubted.both
    doubt.stiffness2 = this.#doubted.stiffness2
  }

  #handOver(from: GrowingFrame, to: GrowingFrame): void {
    to.law.f1Hz = from.law.f1Hz
    to.law.stiffness = from.law.stiffness
    to.doubt.cents2 = from.doubt.cents2
    to.doubt.both = from.doubt.both
    to.doubt.stiffness2 = from.doubt.stiffness2
  }

  #searchShort(rung: number): boolean {
    const near = this.#near
    const { frame } = near
    near.load(rung)
    const low = Math.min(frame.partials, searchedPartials)
    // Half a step turns the highest searched partial by half a radian in half a span.
    const stepCents = (1200 / Math.LN2) * (2 / (2 * Math.PI * this.#targetHz * low * near.secondsOf(rung)))
    const half = Math.ceil(searchCents / stepCents)
    let best = -1
    let bestHz = 0
    const law = this.#law
    law.stiffness = this.#prior.mean
    for (let i = -half; i <= half; i++) {
      law.f1Hz = this.#targetHz * 2 ** ((i * searchCents) / half / 1200)
      const score = frame.score(rung, law, low, this.#noise.at)
      if (score > best) {
        best = score
        bestHz = law.f1Hz
      }
    }
    frame.law.f1Hz = bestHz
    frame.law.stiffness = this.#prior.mean
    this.#doubt(frame, searchCents / half / 3, this.#prior.sd)
    if (!this.#settle(near, rung, 8)) return false
    if (frame.climbRidge(rung, this.#noise.at) && !this.#settle(near, rung, 8)) return false
    return this.#isString(frame)
  }

  #doubt({ doubt }: GrowingFrame, cents: number, stiffness: number): void {
    doubt.cents2 = cents * cents
    doubt.both = 0
    doubt.stiffness2 = stiffness * stiffness
  }

  #settle({ frame }: GrowingTier, rung: number, most: number): boolean {
    return (
      frame.settle(rung, this.#prior, this.#noise.at, most) &&
      Math.abs(1200 * Math.log2(frame.law.f1Hz / this.#targetHz)) < searchCents + 25
    )
  }

  #isString({ evidence, spreadCents, bentCents }: GrowingFrame): boolean {
    return evidence > this.#least && spreadCents < mostSpreadCents && bentCents < mostBentCents
  }

  #begin(tier: GrowingTier, rung: number, start: number): void {
    this.#following = true
    this.#misses = 0
    this.#disagreed = 0
    this.#drift = 0
    this.#begun = start
    this.#start = start
    this.#noise.dropWaiting()
    this.#say(tier, rung)
  }

  #say(tier: GrowingTier, rung: number): void {
    const { law, evidence, spreadCents, stiffnessSd, power } = tier.frame
    const reading = this.#reading
    this.#restOn(tier, rung)
    reading.f0Hz = law.f1Hz
    reading.spreadCents = spreadCents
    reading.confidence = Math.max(0, 1 - this.#least / evidence)
    this.#know(tier.frame)
    for (let k = 0; k < power.length; k++) this.#before[k] = power[k]
    if (tier.secondsOf(rung) * this.#near.rateHz >= this.#noise.length && stiffnessSd < this.#bestStiffnessSd) {
      this.#bestStiffnessSd = stiffnessSd
      this.#prior.mean = law.stiffness
      this.#prior.sd = Math.max(3 * stiffnessSd, leastStiffnessSd)
    }
  }

  #follow(regular: boolean): void {
    const noise = this.#noise
    const { near, far } = { near: this.#near, far: this.#far }
    const farRung = far.rungOf(far.since(this.#start))
    const tier = farRung >= 0 ? far : near
    const rung = farRung >= 0 ? farRung : near.rungOf(near.since(this.#start))
    if (rung < 0) return
    const age = (this.#heard - this.#begun) / this.#sampleRateHz
    // Once readings move little, noise and newer part are looked at in turn: half of the computing.
    const turn = age < calmAfterS || !regular ? bothTurns : (this.#tick / 4) % 2
    if (turn !== newerTurn && regular && near.since(this.#start) >= noise.length) {
      noise.hear(near.recent, near.end)
      noise.readGaps(this.#law)
    }
    this.#recall(tier.frame)
    tier.load(rung)
    if (!this.#settle(tier, rung, followSteps) || !this.#isString(tier.frame)) {
      if (++this.#misses > mostMisses) this.#lose()
      return
    }
    this.#misses = 0
    const early = regular || age < ridgeS
    if (tier === near && early && tier.frame.climbRidge(rung, noise.at)) {
      if (!this.#settle(tier, rung, 4) || !this.#isString(tier.frame)) return
    }
    this.#say(tier, rung)
    const seconds = tier.secondsOf(rung)
    if (turn !== noiseTurn) this.#compareNewer(seconds, age)
    const reading = this.#reading
    if (this.#drift === 0) return
    reading.f0Hz *= 2 ** ((this.#drift * seconds) / 2 / 1200)
    reading.spreadCents = Math.hypot(reading.spreadCents, (this.#driftSpread * seconds) / 2)
    reading.atSample = reading.toSample
  }

  /**
   * Holds the newer half of a span against the whole: sets the drift, cents per second, that carries a reading from the middle
   * of its span to the end, and cuts the span where a drift does not explain the difference.
   */
  #compareNewer(whole: number, age: number): void {
    const farRung = this.#far.rungOf((whole / 2) * this.#far.rateHz)
    const tier = farRung >= 0 ? this.#far : this.#near
    const rung = farRung >= 0 ? farRung : this.#near.rungOf((whole / 2) * this.#near.rateHz)
    this.#drift = 0
    if (rung < 0) return
    const { frame } = tier
    const wholeSpread = this.#reading.spreadCents
    this.#recall(frame)
    tier.load(rung)
    if (!this.#settle(tier, rung, followSteps) || !this.#isString(frame)) return
    const apart = 1200 * Math.log2(frame.law.f1Hz / this.#law.f1Hz)
    const newerSpread = frame.spreadCents
    const side = Math.abs(apart) > disagreement * newerSpread + leastApartCents ? Math.sign(apart) : 0
    if (side !== 0 && side === this.#disagreed) {
      this.#start = tier.startOf(rung)
      this.#know(frame)
      this.#disagreed = 0
    } else {
      this.#disagreed = side
    }
    // So much later is the middle of the newer part.
    const later = (whole - tier.secondsOf(rung)) / 2
    const usual = (fastestGlide * Math.exp(-age / glideS) + slowestGlide) * later
    // The newer part holds a part of the whole's noise; what it has of its own is the difference of variances.
    const apart2 = Math.max(newerSpread ** 2 - wholeSpread ** 2, 0.25 * newerSpread ** 2)
    const calm = age < calmAfterS ? earlyCalm : lateCalm
    const share = (Math.max(0, 1 - (calm * calm * apart2) / (apart * apart)) * usual * usual) / (usual * usual + apart2)
    this.#drift = (share * Math.max(-2.5 * usual, Math.min(2.5 * usual, apart))) / later
    this.#driftSpread = (share * Math.sqrt(apart2)) / later
  }

  #lose(): void {
    this.#following = false
    this.#noise.forgetGaps()
    this.#bestStiffnessSd = priorStiffnessSd
    this.#prior.mean = priorStiffness
    this.#prior.sd = priorStiffnessSd
    if (this.#onsetAt < this.#start) this.#onsetAt = -1
  }

  /** A string that is followed was plucked anew if its partials have grown; other onsets are the room's. */
  #judgeOnset(): void {
    if (this.#onsetAt <= this.#start) return
    const near = this.#near
    const rung = near.rungOf(near.since(this.#onsetAt))
    if (rung < 0) return
    const { frame } = near
    near.load(rung)
    frame.score(rung, this.#law, frame.partials, this.#noise.at)
    let grown = 0
    let count = 0
    for (let k = 0; k < this.#far.partials; k++) {
      if (!(this.#before[k] > 0)) continue
      count++
      if (frame.measuredPower(rung, k) > 2 * this.#before[k]) grown++
    }
    if (count === 0 || grown < grownShare * count) {
      this.#onsetAt = -1
    } else if (this.#onset.standing === 'confirmed') {
      this.#following = false
      this.#noise.forgetGaps()
    }
  }
}

/** How long readings come four times as often after an onset. */
const fastS = 0.06
const searchedPartials = 6
/** Nepers a partial of the coarse sum under which nothing is fitted at all. */
const idleScore = 1.2
const ridgeS = 0.03
const followSteps = 2
/** A new pluck raises most partials by 3 dB and more. */
const grownShare = 0.6
const mostSpreadCents = 25
const mostBentCents = 12
const mostMisses = 3
const leastStiffnessSd = 2e-6
/** Deviations of the newer half. */
const disagreement = 3.5
const leastApartCents = 0.3
/** In deviations: less than this between the parts is no drift. After so long glides are over and stillness is the rule. */
const earlyCalm = 1.5
const lateCalm = 2.5
const calmAfterS = 0.4
const bothTurns = 2
const noiseTurn = 0
const newerTurn = 1
/** Strings plucked hard glide by 10 c in 0.15 s (common practice, no source): cents per second at first and for good. */
const fastestGlide = 50
const slowestGlide = 3
const glideS = 0.2
