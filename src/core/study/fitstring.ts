/**
 * A synthetic pluck that stands for a recorded one: the string's law, and level and decay of every partial.
 *
 * Each partial is looked up in a long spectrum where the law of those below it expects it, and brought down to zero frequency;
 * there its phase tells the frequency (weighed about the middle of the span), its size level and decay (log-linear). The law
 * f_k = k f0 sqrt(1 + B k^2) is then a straight line of (f_k / k)^2 over k^2 (Fletcher 1964, JASA 36:203-209), drawn through
 * partials from 2 up: partial 1, which the bridge moves most, keeps an offset of its own. The other deviations are told, not used.
 *
 * Nothing in it knows how any method reads. One slope of decay holds for the whole span, and a beat of two polarisations is
 * taken for one partial between them. Not good for a string that glides by more than a few cents within the span, nor below
 * some 20 dB over its noise.
 */
import { RealFourier } from '../maths/fourier.ts'
import { median } from '../maths/statistics.ts'
import { centsBetween, dbFromAmplitudeRatio, hzFromCents } from '../maths/units.ts'
import { hann } from '../maths/windows.ts'
import { Problem } from '../problem.ts'

/** One partial as it was measured. */
export interface MeasuredPartial {
  readonly k: number
  /** In the middle of the span. */
  readonly frequencyHz: number
  /** Peak at the onset, carried back from the span. */
  readonly amplitude: number
  /** At most `longestDecayS`, for one that does not fall. */
  readonly decayS: number
  /** Mean power of the spectrum at its peak over that between partials. */
  readonly snrDb: number
  /** Off the fitted law. */
  readonly deviationCents: number
}

/** Settings of a synthetic pluck, to be put beside onset and level. */
export interface FittedPluck {
  readonly firstPartialHz: number
  readonly stiffness: number
  readonly firstPartialOffsetCents: number
  readonly decayS: number
  readonly partialLevelsDb: readonly number[]
  readonly partialDecaysS: readonly number[]
}

export interface FittedString {
  readonly pluck: FittedPluck
  /** What the pluck leaves out, as its setting of the same name: partials from 2 up off the law, at most 50 c. */
  readonly partialOffsetsCents: readonly number[]
  /** Rising in k without gaps. */
  readonly partials: readonly MeasuredPartial[]
  /** Root mean square by which partials from 2 up are off the law, the outliers down-weighted. */
  readonly scatterCents: number
}

export interface FitSetting {
  readonly sampleRateHz: number
  readonly onsetS: number
  /** The pitch, to half a semitone. */
  readonly aboutHz: number
  /** Seconds after the onset that are looked at; absent: from 0.25, when the attack is over, to 1.5. */
  readonly fromS?: number
  readonly toS?: number
}

/** The limit of the setting. */
const mostOffsetCents = 50
/** A decay slower than this cannot be told from none within a second or two. */
const longestDecayS = 600
/** One faster is over within a frame. */
const shortestDecayS = 0.05
/** More add nothing: from there on a string is under 1 % of its power. */
const mostPartials = 40
const highestShare = 0.45
/** A peak of noise alone stands so high over its median in under one bin of 1e4. */
const leastSnrDb = 12
/**
 * The law is drawn through partials within this of the strongest. Further down sums of two transverse partials sound, which the
 * string's stretching makes and which lie flat of the law (Conklin 1999, JASA 105:536-545), and what an editor's filter left.
 */
const lawReachDb = 40
/** This many in a row that do not stand out: the string has no more. */
const mostMissing = 3
/** Found partials are this near the law of those below, or something else sounds there. */
const searchCents = 35
/** Within it body and bridge move partials of a good string: medians of recorded notes are 1.2 c. */
const usualScatterCents = 1.2
/** Periods of the string in a frame: the next partial then lies six bins off, where a Hann window passes under -70 dB. */
const framePeriods = 6
const shortestFrameS = 0.06
const framesPerLength = 8

/** @throws Problem for a span outside the samples or too short, or where no string stands out. */
export function fitString(samples: Float32Array, setting: FitSetting): FittedString {
  const { sampleRateHz, onsetS, aboutHz, fromS = 0.25, toS = 1.5 } = setting
  const from = Math.round((onsetS + fromS) * sampleRateHz)
  const to = Math.round((onsetS + toS) * sampleRateHz)
  const frame = 2 * Math.round((Math.max(framePeriods / aboutHz, shortestFrameS) * sampleRateHz) / 2)
  if (from < 0 || to > samples.length) throw new Problem('the span reaches beyond the recording', 'toS')
  if (to - from < 3 * frame) throw new Problem('the span is too short to part the partials of this string', 'toS')
  const span = samples.subarray(from, to)
  const spectrum = new LongSpectrum(span, sampleRateHz)
  let law: Law = { firstHz: spectrum.nearest(aboutHz, 50).frequencyHz, stiffness: 0 }
  const found: Found[] = []
  for (let k = 1, missing = 0; k <= mostPartials && missing < mostMissing; k++) {
    const expectedHz = lawHz(k, law)
    if (expectedHz > highestShare * sampleRateHz) break
    const peak = spectrum.nearest(expectedHz, k === 1 ? 50 : searchCents)
    const snrDb = peak.levelDb - spectrum.floorDb(expectedHz, law.firstHz)
    const stands = snrDb >= leastSnrDb
    missing = stands ? 0 : missing + 1
    const hz = stands ? peak.frequencyHz : expectedHz
    found.push({ k, snrDb, peakDb: peak.levelDb, ...demodulated(span, hz, frame, sampleRateHz, fromS) })
    law = lawOf(found, law)
  }
  while ((found.at(-1)?.snrDb ?? 0) < leastSnrDb && found.length > 0) found.pop()
  if (found.length === 0) throw new Problem('no string stands out near this pitch', 'aboutHz')
  return fitted(found, lawOf(found, law))
}

function fitted(found: readonly Found[], law: Law): FittedString {
  const partials = found.map(({ peakDb: _, ...one }): MeasuredPartial => {
    const own = one.snrDb >= leastSnrDb
    return { ...one, deviationCents: own ? centsBetween(one.frequencyHz, lawHz(one.k, law)) : 0 }
  })
  const strongest = partials.reduce((most, { amplitude }) => Math.max(most, amplitude), 0)
  const lawful = new Set(trusted(found).map(({ k }) => k))
  const others = partials.filter(({ k }) => k > 1 && lawful.has(k))
  const weights = others.map(({ deviationCents }) => robustWeight(deviationCents, usualScatterCents))
  const total = weights.reduce((sum, weight) => sum + weight, 0)
  const squares = others.reduce((sum, { deviationCents }, i) => sum + weights[i] * deviationCents ** 2, 0)
  return {
    pluck: {
      firstPartialHz: law.firstHz,
      stiffness: law.stiffness,
      firstPartialOffsetCents: partials[0].deviationCents,
      decayS: partials[0].decayS,
      partialLevelsDb: partials.map(({ amplitude }) => Math.max(-199, dbFromAmplitudeRatio(amplitude / strongest))),
      partialDecaysS: partials.map(({ decayS }) => decayS),
    },
    partialOffsetsCents: partials.map(({ k, deviationCents }) =>
      k === 1 ? 0 : Math.max(-mostOffsetCents, Math.min(mostOffsetCents, deviationCents)),
    ),
    partials,
    scatterCents: total > 0 ? Math.sqrt(squares / total) : 0,
  }
}

/** With the level of its peak, by which it takes part in the law. */
type Found = Omit<MeasuredPartial, 'deviationCents'> & { readonly peakDb: number }

interface Law {
  readonly firstHz: number
  readonly stiffness: number
}

const lawHz = (k: number, { firstHz, stiffness }: Law): number =>
  k * firstHz * Math.sqrt((1 + stiffness * k * k) / (1 + stiffness))

/** Cauchy's: an outlier of three scatters counts a tenth. */
const robustWeight = (cents: number, scatterCents: number): number => 1 / (1 + (cents / scatterCents) ** 2)

/** Rounds of weighing anew: the weights stand still to a percent after five. */
const rounds = 12

function trusted(found: readonly Found[]): Found[] {
  const strongestDb = found.reduce((most, { peakDb }) => Math.max(most, peakDb), Number.NEGATIVE_INFINITY)
  return found.filter(({ snrDb, peakDb }) => snrDb >= leastSnrDb && peakDb >= strongestDb - lawReachDb)
}

/** Through the partials that stand out, partial 1 left aside where three others do; with fewer the string is flexible. */
function lawOf(found: readonly Found[], before: Law): Law {
  const out = trusted(found)
  const upper = out.filter(({ k }) => k > 1)
  const used = upper.length >= 3 ? upper : out
  if (used.length === 0) return before
  if (used.length < 3) {
    return { firstHz: median(used.map(({ k, frequencyHz }) => frequencyHz / k)), stiffness: 0 }
  }
  let law = line(
    used,
    used.map(() => 1),
  )
  for (let round = 0; round < rounds; round++) {
    const deviations = used.map(({ k, frequencyHz }) => centsBetween(frequencyHz, lawHz(k, law)))
    const scatter = Math.max(usualScatterCents, 1.4826 * median(deviations.map(Math.abs)))
    law = line(
      used,
      deviations.map((cents) => robustWeight(cents, 2 * scatter)),
    )
  }
  return law
}

/** (f_k / k)^2 = f0^2 + f0^2 B k^2; errors in cents count alike. B is not below 0. */
function line(used: readonly Found[], weights: readonly number[]): Law {
  let [total, meanX, meanY] = [0, 0, 0]
  for (const [i, { k, frequencyHz }] of used.entries()) {
    total += weights[i]
    meanX += weights[i] * k * k
    meanY += weights[i] * (frequencyHz / k) ** 2
  }
  meanX /= total
  meanY /= total
  let [xx, xy] = [0, 0]
  for (const [i, { k, frequencyHz }] of used.entries()) {
    const x = k * k - meanX
    xx += weights[i] * x * x
    xy += weights[i] * x * ((frequencyHz / k) ** 2 - meanY)
  }
  const slope = Math.max(0, xy / xx)
  const square = meanY - slope * meanX
  return { firstHz: Math.sqrt(square + slope), stiffness: slope / square }
}

/** Frequency, size at the onset and decay of what sounds near `hz`, frame by frame. */
function demodulated(
  span: Float32Array,
  hz: number,
  frame: number,
  sampleRateHz: number,
  fromS: number,
): Pick<Found, 'frequencyHz' | 'amplitude' | 'decayS'> {
  const window = hann(frame)
  const hop = Math.floor(frame / framesPerLength)
  const count = Math.floor((span.length - frame) / hop) + 1
  const turn = (2 * Math.PI * hz) / sampleRateHz
  const cosines = Float64Array.from(window, (w, i) => w * Math.cos(turn * i))
  const sines = Float64Array.from(window, (w, i) => w * Math.sin(turn * i))
  const times: number[] = []
  const phases: number[] = []
  const sizes: number[] = []
  for (let n = 0; n < count; n++) {
    let [re, im] = [0, 0]
    for (let i = 0; i < frame; i++) {
      re += span[n * hop + i] * cosines[i]
      im -= span[n * hop + i] * sines[i]
    }
    const carrier = turn * n * hop
    const phase = Math.atan2(im, re) - carrier
    const last = phases.at(-1) ?? phase
    phases.push(last + wrapped(phase - last))
    // A sine of amplitude 1 gives half the sum of the window, a quarter of its length.
    sizes.push(Math.hypot(re, im) / (frame / 4))
    times.push((n * hop + frame / 2) / sampleRateHz)
  }
  // A bell over the span: the frequency is that of its middle, and jumps at its ends count little.
  const bell = times.map((_, n) => Math.sin((Math.PI * (n + 1)) / (count + 1)) ** 2)
  const drift = slopeOf(
    times,
    phases,
    bell.map((weight, n) => weight * sizes[n]),
  )
  const logs = sizes.map((size) => Math.log(Math.max(size, 1e-12)))
  const fall = slopeOf(times, logs, sizes)
  const decayS = Math.min(
    longestDecayS,
    Math.max(shortestDecayS, fall.slope < 0 ? (-3 * Math.LN10) / fall.slope : longestDecayS),
  )
  const rate = (3 * Math.LN10) / decayS
  const amplitude = Math.exp(fall.meanY + rate * (fall.meanX + fromS))
  return { frequencyHz: hz + drift.slope / (2 * Math.PI), amplitude, decayS }
}

const wrapped = (phase: number): number => phase - 2 * Math.PI * Math.round(phase / (2 * Math.PI))

function slopeOf(xs: readonly number[], ys: readonly number[], weights: readonly number[]) {
  let [total, meanX, meanY] = [0, 0, 0]
  for (const [i, weight] of weights.entries()) {
    total += weight
    meanX += weight * xs[i]
    meanY += weight * ys[i]
  }
  meanX /= total
  meanY /= total
  let [xx, xy] = [0, 0]
  for (const [i, weight] of weights.entries()) {
    xx += weight * (xs[i] - meanX) ** 2
    xy += weight * (xs[i] - meanX) * (ys[i] - meanY)
  }
  return { slope: xy / xx, meanX, meanY }
}

/** Spectrum of the whole span under a Hann window, padded to bins of a quarter of its resolution. */
class LongSpectrum {
  readonly #power: Float64Array
  readonly #binHz: number

  constructor(span: Float32Array, sampleRateHz: number) {
    let size = 16
    while (size < 4 * span.length) size *= 2
    const padded = new Float64Array(size)
    const window = hann(span.length)
    for (let i = 0; i < span.length; i++) padded[i] = window[i] * span[i]
    this.#power = new Float64Array(size / 2 + 1)
    new RealFourier(size).power(padded, this.#power)
    this.#binHz = sampleRateHz / size
  }

  /** The strongest peak within `cents` of `hz`, or the strongest bin where there is none; a parabola through its logarithms. */
  nearest(hz: number, cents: number): { frequencyHz: number; levelDb: number } {
    const low = Math.max(1, Math.floor(hzFromCents(-cents, hz) / this.#binHz))
    const high = Math.min(this.#power.length - 2, Math.ceil(hzFromCents(cents, hz) / this.#binHz))
    let best = low
    for (let bin = low; bin <= high; bin++) if (this.#power[bin] > this.#power[best]) best = bin
    const [left, middle, right] = [best - 1, best, best + 1].map((bin) => Math.log(this.#power[bin] + 1e-300))
    const curve = left - 2 * middle + right
    const shift = curve < 0 ? Math.max(-0.5, Math.min(0.5, (left - right) / (2 * curve))) : 0
    return { frequencyHz: (best + shift) * this.#binHz, levelDb: (10 / Math.LN10) * middle }
  }

  /** Median level between the partials on both sides of `hz`. */
  floorDb(hz: number, spacingHz: number): number {
    const values: number[] = []
    for (const centre of [hz - spacingHz / 2, hz + spacingHz / 2]) {
      const low = Math.max(0, Math.round((centre - spacingHz / 5) / this.#binHz))
      const high = Math.min(this.#power.length - 1, Math.round((centre + spacingHz / 5) / this.#binHz))
      for (let bin = low; bin <= high; bin++) values.push(this.#power[bin])
    }
    return (10 / Math.LN10) * Math.log(median(values) + 1e-300)
  }
}
