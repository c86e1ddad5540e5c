/**
 * Mains hum: a fundamental and its harmonics at fixed random phases, amplitudes falling by a constant slope per octave.
 *
 * Harmonics above 0.45 of the sample rate are left out. Real mains wander by some tenths of a cent; this one does not.
 */

import { ln } from '../../maths/portable.ts'
import { amplitudeRatioFromDb } from '../../maths/units.ts'
import { addVoices, type Voice } from '../oscillators.ts'
import { noise } from './noise.ts'

const highestShare = 0.45

export const hum = noise({
  id: 'hum',
  title: 'Mains hum with harmonics',
  source: 'Sum of sines at multiples of the mains frequency; slope assumed',
  fields: {
    mainsHz: { default: 50, min: 16, max: 400, unit: 'Hz', help: 'Mains frequency: 50 or 60 in most places.' },
    harmonics: {
      default: 20,
      min: 1,
      max: 60,
      unit: 'count',
      whole: true,
      help: 'How many, the fundamental included.',
    },
    slopeDb: { default: -6, min: -24, max: 6, unit: 'dB/oct', help: 'Level of the harmonics per octave.' },
  },
  fill(target, { sampleRateHz, random, values }) {
    const voices: Voice[] = []
    for (let k = 1; k <= values.harmonics; k++) {
      const frequencyHz = k * values.mainsHz
      // Drawn whether heard or not: the phases do not depend on the rate.
      const phaseRad = 2 * Math.PI * random.uniform()
      const amplitude = amplitudeRatioFromDb((values.slopeDb * ln(k)) / Math.LN2)
      if (frequencyHz < highestShare * sampleRateHz) voices.push({ frequencyHz, amplitude, decayPerS: 0, phaseRad })
    }
    addVoices(target, voices, sampleRateHz, 0)
  },
})
