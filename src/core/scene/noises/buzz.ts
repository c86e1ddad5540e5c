/**
 * Buzz of dimmers and bad earths: mains with strong harmonics, all at their peak at once.
 *
 * Cosines at multiples of the mains, amplitudes falling slowly, the even ones raised: the load draws its current in a pulse
 * every half cycle. Where in the cycle the take begins is drawn. Slope and raise are assumptions. It comes by wire.
 */
import { ln } from '../../maths/portable.ts'
import { amplitudeRatioFromDb } from '../../maths/units.ts'
import { addVoices, type Voice } from '../oscillators.ts'
import { noise } from './noise.ts'

const highestShare = 0.45
/** Even harmonics over odd ones, dB. */
const evenDb = 6

export const buzz = noise({
  id: 'buzz',
  title: 'Mains buzz with strong harmonics',
  source: 'Sum of cosines at multiples of the mains frequency; levels: assumption',
  path: 'wire',
  fields: {
    mainsHz: { default: 50, min: 45, max: 65, unit: 'Hz', help: 'Mains frequency: 50 or 60.' },
    harmonics: { default: 48, min: 4, max: 120, unit: 'count', whole: true, help: 'How many (assumption).' },
    slopeDb: { default: -3, min: -12, max: 0, unit: 'dB/oct', help: 'Level of the harmonics per octave (assumption).' },
  },
  fill(target, { sampleRateHz, random, values }) {
    const cycle = random.uniform()
    const voices: Voice[] = []
    for (let k = 1; k <= values.harmonics && k * values.mainsHz < highestShare * sampleRateHz; k++) {
      const db = (values.slopeDb * ln(k)) / Math.LN2 + (k % 2 === 0 ? evenDb : 0)
      voices.push({
        frequencyHz: k * values.mainsHz,
        amplitude: amplitudeRatioFromDb(db),
        decayPerS: 0,
        // A quarter turn makes a cosine.
        phaseRad: 2 * Math.PI * (k * cycle + 0.25),
      })
    }
    addVoices(target, voices, sampleRateHz, 0)
  },
})
