/**
 * How the power of one line of a string falls, and the moments of it that the information on its frequency is made of.
 *
 * A voice has two slopes, one before and one after the knee. The two polarisations of a partial are one line: they lie a cent or
 * two apart, which takes longer than a take to tell (0.1 Hz at 82 Hz and 2 c: 10 s), and what is not told apart has one
 * amplitude and one phase to be known, not two. Their powers add; their beat is left out.
 */
import type { Partial } from '../scene/scene.ts'
import { realMoments } from './dampedmoments.ts'

export interface Line {
  readonly k: number
  /** Of the voices' powers at the onset, their mean. */
  readonly frequencyHz: number
  /** Square of the peak amplitude at the onset, all voices together. */
  readonly power: number
  readonly voices: readonly Voice[]
  /** Place of its first voice in the list it was made from. */
  readonly place: number
}

export interface Voice {
  readonly frequencyHz: number
  /** Of the line's power at the onset. */
  readonly share: number
  readonly decayPerS: number
  readonly lateDecayPerS: number
}

/** Rising in k; a second polarisation joins the first of the same k. */
export function linesOf(partials: readonly Partial[]): Line[] {
  const groups: { place: number; partials: Partial[] }[] = []
  for (const [place, partial] of partials.entries()) {
    const first =
      partial.polarisation === 2 ? groups.find(({ partials: [other] }) => other?.k === partial.k) : undefined
    if (first === undefined) groups.push({ place, partials: [partial] })
    else first.partials.push(partial)
  }
  return groups.map(({ place, partials: own }) => lineOf(own, place)).sort((a, b) => a.k - b.k)
}

function lineOf(own: readonly Partial[], place: number): Line {
  const [{ k, frequencyHz, amplitude }] = own as [Partial]
  const power = own.reduce((sum, partial) => sum + partial.amplitude ** 2, 0)
  const alone = own.length === 1 || power === 0
  const voices = own.map(({ frequencyHz: hz, amplitude: peak, decayPerS, lateDecayPerS = decayPerS }) => ({
    ...{ frequencyHz: hz, share: alone ? 1 : peak ** 2 / power, decayPerS, lateDecayPerS },
  }))
  const meanHz = voices.reduce((sum, { share, frequencyHz: hz }) => sum + share * hz, 0)
  return { k, frequencyHz: alone ? frequencyHz : meanHz, power: alone ? amplitude ** 2 : power, voices, place }
}

/** Whether its power is one exponential for ever. */
export const isPlain = ({ voices }: Line): boolean =>
  voices.length === 1 && voices[0].decayPerS === voices[0].lateDecayPerS

/** What is left of a voice's amplitude `atS` after the onset. */
const leftOf = ({ decayPerS, lateDecayPerS }: Voice, atS: number, kneeS: number): number =>
  Math.exp(-decayPerS * Math.min(atS, kneeS) - (atS > kneeS ? lateDecayPerS * (atS - kneeS) : 0))

/** Decay of the amplitude at a moment, s^-1: the mean over the voices, by the power they have left. */
export function decayAt({ voices }: Line, atS: number, kneeS: number): number {
  let [power, moment] = [0, 0]
  for (const voice of voices) {
    const own = voice.share * leftOf(voice, atS, kneeS) ** 2
    power += own
    moment += own * (atS < kneeS ? voice.decayPerS : voice.lateDecayPerS)
  }
  return power > 0 ? moment / power : 0
}

/** What is left of the line's power `atS` after the onset. */
export const powerLeft = ({ voices }: Line, atS: number, kneeS: number): number =>
  voices.reduce((sum, voice) => sum + voice.share * leftOf(voice, atS, kneeS) ** 2, 0)

/**
 * Integrals of t^m e over a span, t from its start, e the line's power over that at the onset, to out[0..2]. Two slopes: each
 * stretch by itself, the later one moved to where it begins.
 */
export function powerMoments({ voices }: Line, startS: number, spanS: number, kneeS: number, out: Float64Array): void {
  const stretch = new Float64Array(3)
  out.fill(0)
  const early = Math.min(spanS, Math.max(0, kneeS - startS))
  for (const voice of voices) {
    const power = voice.share * leftOf(voice, startS, kneeS) ** 2
    realMoments(2 * voice.decayPerS, early, stretch)
    for (let m = 0; m < 3; m++) out[m] += power * stretch[m]
    const late = spanS - early
    if (late === 0) continue
    const begun = voice.share * leftOf(voice, startS + early, kneeS) ** 2
    const [zeroth, first, second] = lateMoments(voice, late, stretch)
    out[0] += begun * zeroth
    out[1] += begun * (first + early * zeroth)
    out[2] += begun * (second + 2 * early * first + early * early * zeroth)
  }
}

function lateMoments(voice: Voice, spanS: number, out: Float64Array): Float64Array {
  realMoments(2 * voice.lateDecayPerS, spanS, out)
  return out
}

/** Standard deviation of a line's frequency in cents when either voice may be what is heard, by their power in the first second. */
export function spreadCents(line: Line, kneeS: number): number {
  const { voices } = line
  if (voices.length === 1) return 0
  const moments = new Float64Array(3)
  const powers = voices.map((voice) => {
    powerMoments({ ...line, voices: [voice] }, 0, 1, kneeS, moments)
    return moments[0]
  })
  const sum = powers.reduce((total, power) => total + power, 0)
  const cents = voices.map(({ frequencyHz }) => 1200 * Math.log2(frequencyHz / line.frequencyHz))
  const mean = cents.reduce((total, value, i) => total + (powers[i] / sum) * value, 0)
  return Math.sqrt(cents.reduce((total, value, i) => total + (powers[i] / sum) * (value - mean) ** 2, 0))
}
