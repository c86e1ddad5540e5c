/**
 * Reads one string aimed at, from all its partials at once: search, refine each partial, fit the string's law.
 *
 * The stream is decimated to little more than the partials need (linear phase; the filter's reach is part of the evidence).
 * A whitened sum over partials finds the string within 150 c of the target (combsearch.ts); peaks of the spectrum improve the
 * law, or a search of pitch and stiffness together where hardly a partial has a peak (lawsearch.ts); one exact measurement of
 * every partial's amplitude and phase slope (moments.ts), a guarded fit that says which to trust (stringlaw.ts), and one step
 * of the weighing of jointsettle.ts turn them into one first partial. A stiff string is therefore not read sharp. Pitch rests on
 * the reading's own window; from earlier frames come stiffness (stiffnessmemory.ts) and which of several tops is the string's:
 * in noise a reading may thus be finer than a bound that hears its window only. Declines when too few partials stand out.
 * Source: own; asymptotically the weighted least squares of Li, Stoica & Zheng 2000 (Signal Process. 80:1937-1944) for
 * harmonic signals, extended by stiffness. Not valid for windows under two periods, nor for two strings within a few cents.
 */
import { aimedFields, aimedwise } from './aimedwise.ts'
import { JointSettle } from './jointsettle.ts'
import { method, type Reading } from './method.ts'
import { PartialFrame } from './partialframe.ts'

export const partialFit = method({
  id: 'partial-fit',
  title: 'Partial fit',
  source: 'own: whitened partial sum, phase slopes, guarded stiff-string fit',
  family: 'aimed',
  fields: aimedFields,
  open: (stream, values) =>
    aimedwise(stream, values, usefulHz, (frames) => {
      const partialFrame = new PartialFrame(stream, frames, tapers)
      const joint = new JointSettle(frames, 0)
      const analyse = (frame: Float64Array, reading: Reading): void => {
        if (partialFrame.find(frame) && joint.settle(partialFrame)) partialFrame.answer(reading)
        if (!Number.isNaN(reading.f0Hz)) reading.spreadCents = joint.spreadCents
      }
      return Object.assign(analyse, { weigh: () => partialFrame.weigh() })
    }),
})

/**
 * Further up a partial costs time and says little on most strings; joint-fit goes on. For the same reason there are 16 at most:
 * with 18 a recorded bass E1 and its synthetic likeness are read 2.8 c apart, by deviations of single partials up there.
 */
const usefulHz = 4400

/**
 * 0.2 costs 1.1 in deviation; with less, the string aimed at from 100 c off is read 0.02 c wrong by what lies above the listened
 * partials. Noise that moves it by more is heard through 0.08, which costs 1.04.
 */
const tapers = { quiet: 0.2, noisy: 0.08 }
