/**
 * The law of a string over measured partials, each with the error that its ratio leaves it, and how well it is known.
 *
 * study/fitstring.ts finds the partials and draws a line through them that trusts all alike: right for a string alone, not
 * for one whose upper partials are barely over a room. Here the line cents_k = a + b (k^2 - 1) through their deviations from
 * that law is drawn again by weighted least squares (Cauchy weights: a partial beside a hum line counts for little), the
 * scatter beyond the partials' own errors estimated with it (moments, as DerSimonian & Laird 1986, Control. Clin. Trials
 * 7:177-188). Where B is not told by the partials it is held near what is known beforehand, and only the pitch is taken.
 */
import { hzFromCents } from '../maths/units.ts'
import { priorStiffness, priorStiffnessSd, stiffnessSlope } from '../methods/stringlaw.ts'
import type { FittedPluck, MeasuredPartial } from '../study/fitstring.ts'

export interface MeasuredLaw {
  readonly f1Hz: number
  /** B is the string's own here, not what was known beforehand. */
  readonly told: {
    readonly stiffness: number
    /** Standard deviations, bodies as they usually are taken in. */
    readonly stiffnessSpread: number
    readonly f1SpreadCents: number
    /** Of partials about the law, beyond what the room does to them, RMS. */
    readonly scatterCents: number
  } | null
}

/** As study/fitstring.ts counts a partial as standing out. */
export const leastSnrDb = 12
/** Partials from 2 up that B must rest on, and up to which one at least. */
const fewestForStiffness = 4
const highestForStiffness = 5
/** Wanted within a fifth: two deviations of a tenth. A flexible string's stiffness is told as small. */
const mostSpreadShare = 0.1
const mostSpread = 5e-6
/** The prior is of guitars; short, thick and odd strings are heard here too. */
const widening = 2
/** Of the known stiffness: gauges of one name differ. */
const knownShare = 0.3
/** Partials that lie better on a law than that are luck. */
const leastScatterCents = 0.15
/** Bodies and bridges move partials by as much: medians of recorded notes. */
const usualScatterCents = 1.2
/** The worst of the 21 notes in signals/recordings lies 4.5 c off any law; partials further off are not one string's alone. */
const mostScatterCents = 5
const rounds = 8
/** Cents a part of a thousand, nearly. */
const centsPerShare = 1200 / Math.LN2

/**
 * @param partials as they were read, deviations off the law of `pluck`. `stiffness`: known beforehand; 0: nothing is. `spanS`: what
 * they were measured over.
 */
export function measuredLaw(
  pluck: FittedPluck,
  partials: readonly MeasuredPartial[],
  stiffness: number,
  spanS: number,
): MeasuredLaw {
  const base = { lawHz: pluck.firstPartialHz, lawStiffness: pluck.stiffness }
  const standing = partials.filter(({ snrDb }) => snrDb >= leastSnrDb)
  // The bridge moves partial 1 most: it is left out where there are others.
  const upper = standing.filter(({ k }) => k > 1)
  if (upper.length >= fewestForStiffness && (upper.at(-1)?.k ?? 0) >= highestForStiffness) {
    const line = lineThrough(upper, spanS, 0, Number.POSITIVE_INFINITY)
    const found = pluck.stiffness + line.more
    const most = Math.max(mostSpreadShare * found, mostSpread)
    if (found >= 0 && line.moreSpread <= most && line.scatterCents <= mostScatterCents) {
      // Few partials may lie well on a line by luck; a body bends a string's by more.
      const honest = Math.max(1, usualScatterCents / line.scatterCents)
      return {
        f1Hz: hzFromCents(line.shift, base.lawHz),
        told: {
          stiffness: found,
          stiffnessSpread: honest * line.moreSpread,
          f1SpreadCents: honest * line.shiftSpread,
          scatterCents: line.scatterCents,
        },
      }
    }
  }
  const prior = (stiffness > 0 ? stiffness : priorStiffness) - base.lawStiffness
  const priorSd = stiffness > 0 ? knownShare * stiffness : widening * priorStiffnessSd
  const used = upper.length >= 3 ? upper : standing
  return { f1Hz: hzFromCents(lineThrough(used, spanS, prior, priorSd).shift, base.lawHz), told: null }
}

interface Line {
  /** Cents of partial 1 above the law that deviations are from, and B above its own. */
  readonly shift: number
  readonly more: number
  readonly shiftSpread: number
  readonly moreSpread: number
  readonly scatterCents: number
}

function lineThrough(partials: readonly MeasuredPartial[], spanS: number, prior: number, priorSd: number): Line {
  let line: Line = {
    shift: 0,
    more: prior,
    shiftSpread: Number.NaN,
    moreSpread: Number.NaN,
    scatterCents: usualScatterCents,
  }
  for (let round = 0; round < rounds; round++) {
    let [w, x, y, xx, xy] = [0, 0, 0, 1 / priorSd ** 2, prior / priorSd ** 2]
    let [excess, weights] = [0, 0]
    for (const { k, frequencyHz, snrDb, deviationCents } of partials) {
      const slope = stiffnessSlope(k, 0)
      // Half of 1 / (span sqrt(ratio)), Hz: the bound of a tone's frequency and what a Hann window adds (Rife & Boorstyn 1974).
      const own = (centsPerShare * 0.5) / (spanS * 10 ** (snrDb / 20) * frequencyHz)
      const error2 = own * own + line.scatterCents ** 2
      const residual = deviationCents - line.shift - slope * line.more
      // The first round trusts everybody.
      const trust = round === 0 ? 1 : 1 / (1 + (residual * residual) / (cauchy2 * error2))
      const weight = trust / error2
      w += weight
      x += weight * slope
      y += weight * deviationCents
      xx += weight * slope * slope
      xy += weight * slope * deviationCents
      weights += weight
      excess += weight * (residual * residual - own * own)
    }
    const spread = xx - (x * x) / w
    const more = (xy - (x * y) / w) / spread
    const n = partials.length
    line = {
      more,
      shift: (y - x * more) / w,
      moreSpread: 1 / Math.sqrt(spread),
      shiftSpread: Math.sqrt(1 / w + (x / w) ** 2 / spread),
      // Two unknowns have been fitted away.
      scatterCents:
        round === 0
          ? usualScatterCents
          : Math.max(leastScatterCents, Math.sqrt(Math.max(0, excess / weights) * (n / Math.max(1, n - 2)))),
    }
  }
  return line
}

/** Of Cauchy's weight: 95 % efficient for Gaussian errors (Holland & Welsch 1977, Commun. Stat. A6:813-827). */
const cauchy2 = 2.385 ** 2
