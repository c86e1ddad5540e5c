/**
 * Reads one string aimed at by the least squares of all its partials together, decays and stiffness included.
 *
 * Starts where partial-fit ends. Then the whole frame is explained at once: every partial has its own amplitude, phase and
 * decay, and all frequencies hang on two numbers, f1 and B of f_k = k f0 sqrt(1 + B k^2). For small errors the least-squares
 * equations need only a_k and b_k of moments.ts (b / a: what turns and what falls), with all cross-talk solved for: partial k
 * pushes f1 by Im(b a*), each push weighed by what is the string's of its power. No partial is measured alone, so a weak one
 * adds its share of evidence where its own frequency could not be told. A narrow taper instead of none keeps far lines out.
 * Source: own; nonlinear least squares for harmonic signals as in Christensen & Jakobsson 2009, Multi-Pitch Estimation
 * (from memory), extended by stiffness and decay. Partials to 8 kHz are used: strings bright enough gain, dull ones lose
 * nothing. Same limits as partial-fit: two periods a window, no second string within a few cents.
 */
import { aimedFields, aimedwise } from './aimedwise.ts'
import { JointSettle } from './jointsettle.ts'
import { method, type Reading } from './method.ts'
import { PartialFrame } from './partialframe.ts'

/** Fresh strings sound up to here; beyond, hiss is all there is on most sensors. */
const usefulHz = 8000

/**
 * 0.15 costs 1.08 in deviation; with less, the partials above the listened ones bend a low string by over 0.02 c. Noise that moves it
 * by more is heard through 0.05, which costs 1.03.
 */
const tapers = { quiet: 0.15, noisy: 0.05 }

/** Steps shrink tenfold each from a start within the noise: the third moves by a thousandth of the spread. */
const steps = 3

export const jointFit = method({
  id: 'joint-fit',
  title: 'Joint fit',
  source: 'own: least squares of all partials together, stiff-string law, decays free',
  family: 'aimed',
  fields: { ...aimedFields, partials: { ...aimedFields.partials, default: 24 } },
  open: (stream, values) =>
    aimedwise(stream, values, usefulHz, (frames) => {
      const found = new PartialFrame(stream, frames, tapers)
      const joint = new JointSettle(frames, steps)
      const analyse = (frame: Float64Array, reading: Reading): void => {
        if (found.find(frame) && joint.settle(found)) found.answer(reading)
        if (!Number.isNaN(reading.f0Hz)) reading.spreadCents = joint.spreadCents
      }
      return Object.assign(analyse, { weigh: () => found.weigh() })
    }),
})
