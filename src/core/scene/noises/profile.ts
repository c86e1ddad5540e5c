/**
 * A room by its spectrum: Gaussian noise with the power density of a recording, as long as one likes and never the same.
 *
 * The density is learnt by Welch's method over segments of 8192 samples (5.9 Hz a bin at 48 kHz). What beats in the recording
 * is steady here, and a tone becomes a narrow band of noise four bins wide.
 */
import { welch } from '../../maths/spectrum.ts'
import { Problem } from '../../problem.ts'
import type { Recording } from '../scene.ts'
import { colouringTaps, fillColoured } from './colour.ts'
import { noise } from './noise.ts'

/** A study renders the same profile over and over: each is learnt once. */
const learnt = new WeakMap<Recording, Float64Array>()

function tapsOf(recording: Recording): Float64Array {
  const known = learnt.get(recording)
  if (known !== undefined) return known
  const made = colouringTaps(welch(recording.samples, recording.sampleRateHz).density)
  learnt.set(recording, made)
  return made
}

export const profile = noise({
  id: 'profile',
  title: 'Noise with the spectrum of a recording',
  source: 'Whatever the recording is; Welch 1967',
  fields: {},
  recorded: true,
  fill(target, { random, recording }) {
    if (recording === null) throw new Problem('is missing', 'recording')
    fillColoured(target, tapsOf(recording), random)
  },
})
