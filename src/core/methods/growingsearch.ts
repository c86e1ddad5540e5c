/**
 * How the growing fit finds its string: in the short span since an onset, or, when nobody saw it begin, in longer and longer
 * spans that end now; and the test that a fitted span holds a string at all.
 */
import { searchCents } from './combsearch.ts'
import type { GrowingFrame, StiffnessPrior } from './growingframe.ts'
import { copyKnown, doubtKnown } from './growingknown.ts'
import type { GrowingNoise } from './growingnoise.ts'
import type { GrowingTier } from './growingtier.ts'
import type { Weighing } from './method.ts'
import { priorStiffness, priorStiffnessSd, type StringLaw } from './stringlaw.ts'

/**
 * Evidence in nepers over partials that agree: below it a span holds no string. Not derived: raised from 20 in development until
 * takes without a string gave no claim.
 */
export const leastEvidence = 28
/** What may be a quarter of a semitone off says nothing. */
const mostSpreadCents = 25
/** A body bends partials by a few cents; more, and they are not of one string. */
const mostBentCents = 12
/** Higher ones are too far off before B is known. */
const searchedPartials = 6
/** However sure a span is: partial 10 then lies within a fifth of a cent. */
const leastStiffnessSd = 2e-6
/** From one span to the next when a string is searched for: information doubles twice. */
const longer = 1.6
/** The next span must bring something new: a third more of information. */
const leastLonger = 1.1

export class GrowingSearch {
  /** Where the last search found it; valid after it answered true. */
  tier: GrowingTier
  rung = 0
  readonly #targetHz: number
  readonly #near: GrowingTier
  readonly #far: GrowingTier
  readonly #noise: GrowingNoise
  readonly #prior: StiffnessPrior = { mean: priorStiffness, sd: priorStiffnessSd }
  #bestStiffnessSd = priorStiffnessSd
  readonly #tried: StringLaw = { f1Hz: 0, stiffness: 0 }

  constructor(targetHz: number, near: GrowingTier, far: GrowingTier, noise: GrowingNoise) {
    this.tier = near
    this.#targetHz = targetHz
    this.#near = near
    this.#far = far
    this.#noise = noise
  }

  /** Of the loaded span. `most`: steps. */
  settle({ frame }: GrowingTier, rung: number, most: number): boolean {
    return (
      frame.settle(rung, this.#prior, this.#noise.at, most) &&
      Math.abs(1200 * Math.log2(frame.law.f1Hz / this.#targetHz)) < searchCents + 25
    )
  }

  isString({ evidence, spreadCents, bentCents }: GrowingFrame): boolean {
    return evidence > leastEvidence && spreadCents < mostSpreadCents && bentCents < mostBentCents
  }

  /** The stiffness of a string stays: the surest span's is what others start from. */
  learn({ frame: { law, stiffnessSd } }: GrowingTier): void {
    if (stiffnessSd >= this.#bestStiffnessSd) return
    this.#bestStiffnessSd = stiffnessSd
    this.#prior.mean = law.stiffness
    this.#prior.sd = Math.max(3 * stiffnessSd, leastStiffnessSd)
  }

  forget(): void {
    this.#bestStiffnessSd = priorStiffnessSd
    this.#prior.mean = priorStiffness
    this.#prior.sd = priorStiffnessSd
  }

  /** In a short span: every pitch by its lowest partials, then the fit. */
  searchShort(rung: number): boolean {
    const near = this.#near
    const { frame } = near
    near.load(rung)
    const low = Math.min(frame.partials, searchedPartials)
    const half = this.#stepsAside(near, rung, low)
    let best = -1
    let bestHz = 0
    const law = this.#tried
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
    doubtKnown(frame, searchCents / half / 3, this.#prior.sd)
    if (!this.settle(near, rung, 8)) return false
    if (frame.climbRidge(rung, this.#noise.at) && !this.settle(near, rung, 8)) return false
    return this.#found(near, rung)
  }

  /** How many pitches to either side of the target are told apart by a span's lowest partials. */
  #stepsAside(tier: GrowingTier, rung: number, partials: number): number {
    // Half a step turns the highest searched partial by half a radian in half a span.
    const stepCents = (1200 / Math.LN2) * (2 / (2 * Math.PI * this.#targetHz * partials * tier.secondsOf(rung)))
    return Math.ceil(searchCents / stepCents)
  }

  /** What every pitch about the target is worth by its lowest partials in the newest span of a rung, for a string so stiff. */
  weigh(tier: GrowingTier, rung: number, stiffness = this.#prior.mean): Weighing {
    const { frame } = tier
    const low = Math.min(frame.partials, searchedPartials)
    const half = this.#stepsAside(tier, rung, low)
    tier.load(rung)
    const hz = Float64Array.from(
      { length: 2 * half + 1 },
      (_, i) => this.#targetHz * 2 ** (((i / half - 1) * searchCents) / 1200),
    )
    return { hz, scores: hz.map((f1Hz) => frame.score(rung, { f1Hz, stiffness }, low, this.#noise.at)) }
  }

  /** From the law in the near tier's frame, over the newest spans, longer and longer; none reaches before input sample `floor`. */
  climb(from: number, floor: number): boolean {
    if (from < 0) return false
    const [near, far] = [this.#near, this.#far]
    near.load(from)
    if (!this.settle(near, from, 6)) return false
    if (this.#found(near, from)) return true
    const rung = far.rungOf(Math.min(longer * near.secondsOf(from) * far.rateHz, far.since(floor)))
    if (rung < 0 || far.secondsOf(rung) < leastLonger * near.secondsOf(from)) return false
    copyKnown(near.frame, far.frame)
    return this.#climbFar(rung, floor)
  }

  #climbFar(from: number, floor: number): boolean {
    const tier = this.#far
    for (let rung = from; ; ) {
      tier.load(rung)
      if (!this.settle(tier, rung, 4)) return false
      if (this.#found(tier, rung)) return true
      const next = tier.rungOf(Math.min(longer * tier.frame.lengths[rung], tier.since(floor)))
      if (next <= rung) return false
      rung = next
    }
  }

  #found(tier: GrowingTier, rung: number): boolean {
    this.tier = tier
    this.rung = rung
    return this.isString(tier.frame)
  }
}
