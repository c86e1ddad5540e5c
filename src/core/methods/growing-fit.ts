/**
 * Reads one string aimed at from a span that begins where the string does and grows with it: early readings come soon, later
 * ones are fine.
 *
 * An onset (onset.ts) opens a span; every reading fits all partials of a stiff string to what was heard since
 * (growingframe.ts, followed by growingfollow.ts). Information grows as the third power of the span, so a span never holds less than it could. It is cut
 * when its newer half disagrees with the whole: a pitch that still glides shortens its own span (Lepski 1991, Theory Probab.
 * Appl. 35:454-466, of which this is the simplest case). A string that was not seen to begin is searched for in what was heard
 * last. Declines when partials that agree do not exceed the noise by what chance has. Source: own.
 * Not valid under two periods; nothing can tell a settled pitch while the string itself still glides: with 5 c in 40 ms that
 * is before about 120 ms.
 */

import { Problem } from '../problem.ts'
import { aimedFields } from './aimedwise.ts'
import { FollowedString } from './growingfollow.ts'
import { doubtKnown } from './growingknown.ts'
import { GrowingNoise } from './growingnoise.ts'
import { GrowingSearch } from './growingsearch.ts'
import { GrowingTier } from './growingtier.ts'
import { type Listener, method, type Reading, type Stream, type Weighing } from './method.ts'
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

/** The pluck itself is no string yet: the finger leaves the string in about a millisecond (assumption; no source). */
const attackS = 0.0015
/**
 * What the fit's own spread does not know: where a span's rungs end hangs on the note aimed at. Of two least squares one of which
 * hears part of the other's span the difference has the difference of their variances; information grows as the third power of the
 * span and rungs stand 1.25 apart, so targets apart move a reading by 0.52 of its deviation on average over where rungs fall. Measured:
 * 0.67 on E2, whose deviation in white noise at 20 dB is 0.028 c (n 40; five higher strings 0.2 to 0.6 of less), and 60 times less of it
 * at 60 dB: it is noise, and none of it structure. The largest of 16 (four plucks, four targets: tests/property/aimed-truth) stays
 * under 2.95 times that in 95 of 100 sets: 0.67 * 2.95 * 0.028 = 0.055 c. It is a figure for 20 dB: below that the fit's own grows.
 */
const aimSpreadCents = 0.06
/** Two partials are told apart by two periods; the taper (growingframe.ts) leaves 0.925 of a span: 2.08 of these. */
const leastPeriods = 2.25
/** High notes: what a pick leaves behind lasts some milliseconds (common practice, no source); assumption. */
const leastS = 0.012
/** Fresh strings sound up to here (common practice, no source). */
const brightHz = 8000
/**
 * Long spans hear no further: what lies above has faded by then (common practice, no source), and a measurement costs partials times
 * samples.
 */
const dullHz = 3000
/** Near rungs reach a little over the noise's frame, far ones begin with it and hold two at least: rungs stand 1.25 apart. */
const nearFrames = 1.05
const farFrames = 1.4

class GrowingListener implements Listener {
  readonly #sampleRateHz: number
  readonly #fastHop: number
  readonly #onset: OnsetFinder
  /** Short spans and long ones. */
  readonly #near: GrowingTier
  readonly #far: GrowingTier
  readonly #noise: GrowingNoise
  readonly #search: GrowingSearch
  readonly #string: FollowedString
  #heard = 0
  #tick = 0
  #nextTick: number
  /** Input sample before which nothing may be used: broken ones. */
  #floor = 0
  /** Input sample at which the newest onset's string begins; negative: none that counts. */
  #onsetAt = -1
  #fastUntil = 0
  #following = false
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
      ...{ shortestS, longestS: nearFrames * frameS },
    })
    this.#far = new GrowingTier(sampleRateHz, targetHz, {
      ...{ partials, usefulHz: dullHz },
      ...{ shortestS: frameS, longestS: Math.max(longestS, farFrames * frameS) },
    })
    this.#noise = new GrowingNoise(this.#near.rateHz, targetHz, this.#near.partials, this.#near.passHz, room)
    this.#search = new GrowingSearch(targetHz, this.#near, this.#far, this.#noise)
    this.#string = new FollowedString(sampleRateHz, this.#near, this.#far, this.#noise, this.#search, this.#reading)
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

  weigh(): Weighing | null {
    if (this.#reading.f0Hz > 0) return this.#string.weigh()
    const near = this.#near
    const rung = near.rungOf(near.since(Math.max(this.#onsetAt, this.#floor)))
    return rung >= 0 && this.#noise.isKnown ? this.#search.weigh(near, rung) : null
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
    this.#string.restOn(this.#near, 0)
    if (this.#onsetAt >= 0 && this.#onset.standing === 'withdrawn') this.#withdrawOnset()
    if (this.#following) this.#judgeOnset()
    if (this.#following && !this.#string.follow(regular, this.#tick / 4)) this.#lose()
    if (!this.#following) this.#seek(regular)
    reading.spreadCents = Math.hypot(reading.spreadCents, aimSpreadCents)
  }

  /** What began has not the note's period: a drum, a knock. */
  #withdrawOnset(): void {
    if (this.#following && this.#string.start === this.#onsetAt) this.#lose()
    this.#onsetAt = -1
    this.#fastUntil = 0
  }

  #seek(regular: boolean): void {
    const near = this.#near
    const noise = this.#noise
    const age = this.#onsetAt < 0 ? Number.POSITIVE_INFINITY : near.since(this.#onsetAt)
    if (age < noise.length) {
      const rung = near.rungOf(age)
      if (rung >= 0 && noise.isKnown && this.#search.searchShort(rung)) this.#begin(near, rung, this.#onsetAt)
      if (this.#following || age < waitedFrames * noise.length) return
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
    this.#noise.dropWaiting()
    this.#string.begin(tier, rung, start)
  }

  #lose(): void {
    this.#following = false
    this.#noise.forgetGaps()
    this.#search.forget()
    if (this.#onsetAt < this.#string.start) this.#onsetAt = -1
  }

  /** A string that is followed was plucked anew if its partials have grown; other onsets are the room's. */
  #judgeOnset(): void {
    if (this.#onsetAt <= this.#string.start) return
    const rung = this.#near.rungOf(this.#near.since(this.#onsetAt))
    if (rung < 0) return
    if (!this.#string.hasGrown(rung)) {
      this.#onsetAt = -1
    } else if (this.#onset.standing === 'confirmed') {
      this.#following = false
      this.#noise.forgetGaps()
    }
  }
}

/** How long readings come four times as often after an onset: by then a usual hop adds less than a rung (assumption). */
const fastS = 0.06
/** With so much of the noise's frame since an onset and no string found, the search of any string looks too (assumption). */
const waitedFrames = 0.8
/** Nepers a partial of the coarse sum under which nothing is fitted at all: white noise has 1.2 (whitened-sum.ts). */
const idleScore = 1.2
/** The coarse search tells B to about half of its grid's step, the smaller of the two (combsearch.ts: 2e-5, 1e-4, 2.5e-4). */
const coarseStiffnessSd = 4e-5
