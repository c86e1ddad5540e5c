/**
 * Mean power over the first second after the onset, which levels and truths speak of, of decaying sines with one or two
 * slopes: the integral of exp(-s t) in closed form, s complex where two sines of nearly the same frequency beat.
 */
import { cos, exp, sin } from '../maths/portable.ts'
import { kneeS, type Voice } from './oscillators.ts'

/** Two sines that start together, cross terms with all others left out. `turnRadPerS`: how much faster the second one is. */
export function sharedPower(first: Voice, second: Voice, turnRadPerS: number): number {
  const early = first.decayPerS + second.decayPerS
  const late = lateOf(first) + lateOf(second)
  return (first.amplitude * second.amplitude * dampedMean(early, late, turnRadPerS)) / 2
}

export function powerOf(voice: Voice): number {
  const { amplitude, decayPerS } = voice
  const twice = 2 * decayPerS
  if (lateOf(voice) !== decayPerS) return (amplitude * amplitude * dampedMean(twice, 2 * lateOf(voice), 0)) / 2
  // Below 1e-8 the exponential has no digits left to tell 1 from its fall, and the mean is 1 to 1e-8 anyway.
  const mean = twice < 1e-8 ? 1 : (1 - exp(-twice)) / twice
  return (amplitude * amplitude * mean) / 2
}

const lateOf = ({ decayPerS, lateDecayPerS = decayPerS }: Voice): number => lateDecayPerS

/** Mean over 1 s of exp(-early t) cos(turn t), with `late` instead of `early` past the knee. */
function dampedMean(early: number, late: number, turn: number): number {
  const before = integral(early, turn, kneeS)
  const after = integral(late, turn, 1 - kneeS)
  // At the knee the sines have come apart by turn kneeS.
  const size = exp(-early * kneeS)
  return before.re + size * (after.re * cos(turn * kneeS) - after.im * sin(turn * kneeS))
}

/** Integral of exp(-(decay - i turn) t) from 0 to `spanS`. */
function integral(decay: number, turn: number, spanS: number): { readonly re: number; readonly im: number } {
  const square = decay * decay + turn * turn
  // Three terms of the series leave (s T)^3 / 24 of the span: 4e-14.
  if (square * spanS * spanS < 1e-8) {
    const re = spanS * (1 - (decay * spanS) / 2 + ((decay * decay - turn * turn) * spanS * spanS) / 6)
    return { re, im: spanS * ((turn * spanS) / 2 - (decay * turn * spanS * spanS) / 3) }
  }
  const left = exp(-decay * spanS)
  // (1 - left e^{i a}) / (decay - i turn), a = turn spanS.
  const re = 1 - left * cos(turn * spanS)
  const im = -left * sin(turn * spanS)
  return { re: (re * decay - im * turn) / square, im: (im * decay + re * turn) / square }
}
