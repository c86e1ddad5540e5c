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
import { calmAfterS, PitchDrift } from './growingdrift.ts'
import { copyKnown, doubtKnown, type Known } from './growingknown.ts'
import { GrowingNoise } from './growingnoise.ts'
import { GrowingSearch, leastEvidence } from './growingsearch.ts'
import { GrowingTier } from './growingtier.ts'
import { type Listener, method, type Reading, type Stream } from './method.ts'
import { OnsetFinder } from './onset.ts'

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
  readonly #sampleRateHz: number
  readonly #fastHop: number
  readonly #onset: OnsetFinder
  /** Short spans and long ones. */
  readonly #near: GrowingTier
  readonly #far: GrowingTier
  readonly #noise: GrowingNoise
  readonly #search: GrowingSearch
  readonly #drift = new PitchDrift()
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
  readonly #known: Known = {
    law: { f1Hz: 0, stiffness: 0 },
    doubt: { cents2: 0, both: 0, stiffness2: 0 },
  }
  /** Power of each partial in the last reading. */
  readonly #before: Float64Array
  readonly #reading: Reading = { fromSample: 0, toSample: 0, atSample: 0, f0Hz: 0, confidence: 0, spreadCents: 0 }

  constructor(stream: Stream, hop: number, partials: number, longestS: number) {
    const { targetHz, sampleRateHz, room } = stream
    if (targetHz === null) throw new Problem('this method must be told which note is in hand', 'targetHz')
    if (!(targetHz >= 20)) throw new Problem(`${targetHz} is below 20 Hz`, 'targetHz')
    const limitHz = 0.25 * sampleRateHz
    if (targetHz > limitHz)
      throw new Problem(`${targetHz} is above ${Math.floor(limitHz)} Hz at this sample rate`, 'targetHz')
    this.#sampleRateHz = sampleRateHz
    this.#fastHop = Math.ceil(hop / 4)
    this.#nextTick = this.#fastHop
    const shortestS = Math.max(leastS, leastPeriods / targetHz)
    const frameS = GrowingNoise.secondsFor(targetHz)
    this.#near = new GrowingTier(sampleRateHz, targetHz, {
      ...{ partials, usefulHz: brightHz },
      ...{ shortestS, longestS: 1.05 * frameS },
    })
    this.#far = new GrowingTier(sampleRateHz, targetHz, {
      ...{ partials: Math.min(partials, dullPartials), usefulHz: dullHz },
      ...{ shortestS: frameS, longestS: Math.max(longestS, 1.4 * frameS) },
    })
    this.#noise = new GrowingNoise(this.#near.rateHz, targetHz, this.#near.partials, this.#near.passHz, room)
    this.#before = new Float64Array(this.#near.partials)
    this.#search = new GrowingSearch(targetHz, this.#near, this.#far, this.#noise)
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
      if (rung >= 0 && noise.isKnown && this.#search.searchShort(rung)) this.#begin(near, rung, this.#onsetAt)
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
    doubtKnown(near.frame, noise.search.stepCents / 2, coarseStiffnessSd)
    if (this.#search.climb(near.rungOf(noise.length), this.#floor)) {
      const { tier, rung } = this.#search
      this.#begin(tier, rung, tier.startOf(rung))
    } else {
      noise.forgetGaps()
      noise.learn()
    }
  }

  #begin(tier: GrowingTier, rung: number, start: number): void {
    this.#following = true
    this.#misses = 0
    this.#drift.forget()
    this.#begun = start
    this.#start = start
    this.#noise.dropWaiting()
    this.#say(tier, rung)
  }

  #say(tier: GrowingTier, rung: number): void {
    const { law, evidence, spreadCents, power } = tier.frame
    const reading = this.#reading
    this.#restOn(tier, rung)
    reading.f0Hz = law.f1Hz
    reading.spreadCents = spreadCents
    reading.confidence = Math.max(0, 1 - leastEvidence / evidence)
    copyKnown(tier.frame, this.#known)
    for (let k = 0; k < power.length; k++) this.#before[k] = power[k]
    if (tier.secondsOf(rung) * this.#near.rateHz >= this.#noise.length) this.#search.learn(tier)
  }

  #follow(regular: boolean): void {
    const noise = this.#noise
    const near = this.#near
    const far = this.#far
    const farRung = far.rungOf(far.since(this.#start))
    const tier = farRung >= 0 ? far : near
    const rung = farRung >= 0 ? farRung : near.rungOf(near.since(this.#start))
    if (rung < 0) return
    const age = (this.#heard - this.#begun) / this.#sampleRateHz
    // Once readings move little, noise and newer part are looked at in turn: half of the computing.
    const turn = age < calmAfterS || !regular ? bothTurns : (this.#tick / 4) % 2
    if (turn !== newerTurn && regular && near.since(this.#start) >= noise.length) {
      noise.hear(near.recent, near.end)
      noise.readGaps(this.#known.law)
    }
    copyKnown(this.#known, tier.frame)
    tier.load(rung)
    if (!this.#search.settle(tier, rung, followSteps) || !this.#search.isString(tier.frame)) {
      if (++this.#misses > mostMisses) this.#lose()
      return
    }
    this.#misses = 0
    const early = regular || age < ridgeS
    if (tier === near && early && tier.frame.climbRidge(rung, noise.at)) {
      if (!this.#search.settle(tier, rung, 4) || !this.#search.isString(tier.frame)) return
    }
    this.#say(tier, rung)
    const seconds = tier.secondsOf(rung)
    if (turn !== noiseTurn) this.#compareNewer(seconds, age)
    const reading = this.#reading
    const { centsPerS, spreadPerS } = this.#drift
    if (centsPerS === 0) return
    reading.f0Hz *= 2 ** ((centsPerS * seconds) / 2 / 1200)
    reading.spreadCents = Math.hypot(reading.spreadCents, (spreadPerS * seconds) / 2)
    reading.atSample = reading.toSample
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
    this.#start = tier.startOf(rung)
    copyKnown(frame, this.#known)
  }

  #lose(): void {
    this.#following = false
    this.#noise.forgetGaps()
    this.#search.forget()
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
    frame.score(rung, this.#known.law, frame.partials, this.#noise.at)
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
/** Nepers a partial of the coarse sum under which nothing is fitted at all: white noise has 1.2 (whitened-sum.ts). */
const idleScore = 1.2
/** The coarse search tells B to about half of its grid's step. */
const coarseStiffnessSd = 4e-5
/** So long after it began pitch and stiffness of a string are looked for together at every reading. */
const ridgeS = 0.03
/** A followed law is near: the third step moves it by a thousandth of its spread. */
const followSteps = 2
/** A new pluck raises most partials by 3 dB and more. */
const grownShare = 0.6
/** Readings in a row without a string, after which it is over. */
const mostMisses = 3
/** Once readings are calm, noise and newer part are looked at in turn. */
const bothTurns = 2
const noiseTurn = 0
const newerTurn = 1
