/**
 * Reads one string aimed at, from all its partials at once: search, refine each partial, fit the string's law.
 *
 * The stream is decimated to little more than the partials need (linear phase; the filter's reach is part of the evidence).
 * A whitened sum over partials finds the string within 150 c of the target (combsearch.ts), peaks of the spectrum improve
 * the law, one exact measurement of every partial's amplitude and phase slope finishes it (moments.ts), and a guarded fit
 * of f_k = k f0 sqrt(1 + B k^2) turns them into one first partial (stringlaw.ts). A stiff string is therefore not read sharp.
 * Declines when too few partials stand out of the noise together. Each reading rests on its own window only.
 * Source: own; asymptotically the weighted least squares of Li, Stoica & Zheng 2000 (Signal Process. 80:1937-1944) for
 * harmonic signals, extended by stiffness. Not valid for windows under two periods, nor for two strings within a few cents.
 */
import { aimedFields, aimedwise } from './aimedwise.ts'
import { method } from './method.ts'
import { PartialFrame } from './partialframe.ts'

export const partialFit = method({
  id: 'partial-fit',
  title: 'Partial fit',
  source: 'own: whitened partial sum, phase slopes, guarded stiff-string fit',
  family: 'aimed',
  fields: aimedFields,
  open: (stream, values) =>
    aimedwise(stream, values, usefulHz, (frames) => {
      const partialFrame = new PartialFrame(stream, frames, taper)
      return (frame, reading) => {
        if (partialFrame.find(frame)) partialFrame.answer(reading)
      }
    }),
})

/** Partials of low strings die away above this. */
const usefulHz = 3700

/**
 * Costs 1.15 in deviation. Beyond 10 bins its side lobes are under -45 dB, so an unmodelled line far off does nothing.
 */
const taper = 0.25
