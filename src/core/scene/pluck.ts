/**
 * A synthetic pluck: the partials of a stiff string, and what is true of them.
 *
 * f_k = k f0 sqrt(1 + B k^2) (Fletcher 1964, JASA 36:203-209). Amplitudes |sin(pi k p)| / k, the velocity of an ideal string
 * let go at the part p of its length (Fletcher & Rossing, Physics of Musical Instruments, section 2.5); p = 0 stands for
 * no comb at all, 1 / k. The string is at rest until it is let go, so every partial starts as a sine from zero, with the
 * sign of sin(pi k p): the first step is no larger than those of later periods, and no ramp is needed.
 *
 * Partials end at 0.45 of the sample rate (at the top of the glide) and at -120 dB of the strongest. Decay times follow
 * T60(k) = decayS k^-s, so that the geometric mean over partials 4 to 7 is highDecayRatio decayS. No body, no sensor, no
 * second polarisation.
 */
import { exp, ln, pow, sin } from '../maths/portable.ts'
import { Problem } from '../problem.ts'
import { addVoices, faintest, type Voice } from './oscillators.ts'
import type { Partial, SyntheticPluck, Truth } from './scene.ts'

/** -20 dB of full scale: leaves room for peaks and for noise. */
export const stringRms = 0.1

/** Above it anti-alias filters bend what is heard; the rest up to half the rate is left to noise. */
const highestShare = 0.45
/** (4 * 5 * 6 * 7)^(1/4), the geometric mean of the partials that highDecayRatio speaks of. */
const highPartial = Math.sqrt(Math.sqrt(840))
/** ln 1000: amplitude falls to a thousandth within T60. */
const decaysOf60Db = ln(1000)

/**
 * Partials in take units, rising in k. The level is such that the mean square over the first second is `stringRms` squared,
 * cross terms between partials left out (under a percent): it does not depend on how long the take is.
 * @throws Problem when not even the first partial fits under 0.45 of the rate.
 */
export const pluckPartials = (pluck: SyntheticPluck, sampleRateHz: number): Partial[] =>
  pluckVoices(pluck, sampleRateHz).map(({ k, voice }) => ({
    k,
    frequencyHz: voice.frequencyHz,
    amplitude: Math.abs(voice.amplitude),
    decayPerS: voice.decayPerS,
  }))

/** Adds the pluck to `target`, whose first sample is the start of the take. @throws Problem as `pluckPartials`. */
export function addPluck(target: Float64Array, pluck: SyntheticPluck, sampleRateHz: number): void {
  const voices = pluckVoices(pluck, sampleRateHz).map(({ voice }) => voice)
  const glide = pluck.glideCents === 0 ? null : { cents: pluck.glideCents, timeS: pluck.glideS }
  addVoices(target, voices, sampleRateHz, pluck.onsetS * sampleRateHz, glide)
}

/** Frequency of partial `k` of the settled string, Hz. */
function partialHz(k: number, firstPartialHz: number, stiffness: number): number {
  // k = 1 gives exactly f1.
  return k * firstPartialHz * Math.sqrt((1 + stiffness * k * k) / (1 + stiffness))
}

function pluckVoices(pluck: SyntheticPluck, sampleRateHz: number): { k: number; voice: Voice }[] {
  const { firstPartialHz, stiffness, decayS, highDecayRatio, pickRatio, glideCents } = pluck
  const highestHz = (highestShare * sampleRateHz) / pow(2, Math.max(0, glideCents) / 1200)
  const fallPerOctave = -ln(highDecayRatio) / ln(highPartial)
  const found: { k: number; voice: Voice }[] = []
  for (let k = 1; ; k++) {
    const frequencyHz = partialHz(k, firstPartialHz, stiffness)
    if (frequencyHz > highestHz) break
    const amplitude = (pickRatio === 0 ? 1 : sin(Math.PI * k * pickRatio)) / k
    const decayPerS = (decaysOf60Db / decayS) * pow(k, fallPerOctave)
    found.push({ k, voice: { frequencyHz, amplitude, decayPerS, phaseRad: 0 } })
  }
  if (found.length === 0) {
    const limit = Math.floor(highestHz)
    throw new Problem(
      `${firstPartialHz} is above ${limit} Hz, the most that ${sampleRateHz} Hz can carry`,
      'firstPartialHz',
    )
  }
  const strongest = found.reduce((most, { voice }) => Math.max(most, Math.abs(voice.amplitude)), 0)
  const heard = found.filter(({ voice }) => Math.abs(voice.amplitude) > faintest * strongest)
  const power = heard.reduce((sum, { voice }) => sum + meanSquareOfFirstSecond(voice), 0)
  const gain = stringRms / Math.sqrt(power)
  return heard.map(({ k, voice }) => ({ k, voice: { ...voice, amplitude: gain * voice.amplitude } }))
}

function meanSquareOfFirstSecond({ amplitude, decayPerS }: Voice): number {
  const twice = 2 * decayPerS
  // Below 1e-8 the exponential has no digits left to tell 1 from its fall, and the mean is 1 to 1e-8 anyway.
  const mean = twice < 1e-8 ? 1 : (1 - exp(-twice)) / twice
  return (amplitude * amplitude * mean) / 2
}

/** Rows of the truth are this far apart. */
const trackStepS = 0.01
/** Left of the glide when the string counts as settled: it is heard no further (see oscillators.ts). */
const settledCents = 1e-4

/**
 * The truth of a pluck in a take of `durationS`. Times are counted from the start of the take; the last row, at its end, is
 * the settled pitch even where the glide still lives: that is what the take is scored against.
 */
export function pluckTruth(pluck: SyntheticPluck, durationS: number): Truth {
  const { onsetS, firstPartialHz, glideCents, glideS } = pluck
  return truthOf(onsetS, firstPartialHz, durationS, (sinceS) => {
    const cents = glideCents * exp(-sinceS / glideS)
    return Math.abs(cents) < settledCents ? firstPartialHz : firstPartialHz * pow(2, cents / 1200)
  })
}

/** A truth whose first partial stands at `f0HzAt(seconds since the onset)` and in the end at `settledHz`. */
export function truthOf(
  onsetS: number,
  settledHz: number,
  durationS: number,
  f0HzAt: (sinceS: number) => number,
): Truth {
  const track: { timeS: number; f0Hz: number }[] = []
  for (let row = 0; onsetS + row * trackStepS < durationS; row++) {
    track.push({ timeS: onsetS + row * trackStepS, f0Hz: f0HzAt(row * trackStepS) })
  }
  track.push({ timeS: durationS, f0Hz: settledHz })
  return { onsetS, settledHz, track }
}
