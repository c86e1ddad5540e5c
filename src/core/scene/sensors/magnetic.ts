/**
 * A magnetic pickup: one point of the string, then the resonance of coil and cable, and mains hum of its own.
 *
 * The resonance is the second-order low-pass of an inductance against a capacitance; where it lies above 0.45 of the rate it
 * is left out. Sound in the air moves no magnet field: it shakes the wood, and the coil under the strings with it, as a mass
 * is shaken (velocity falls by 6 dB an octave above the lowest mode), far down. Strings that the stage drives are heard like
 * any string. Levels of the air's way are assumptions.
 */
import { amplitudeRatioFromDb } from '../../maths/units.ts'
import { hum } from '../noises/hum.ts'
import { fall, highestShare, lowPass, runBiquad, scale } from './biquad.ts'
import { runCombDelay } from './combdelay.ts'
import { sensor } from './sensor.ts'

/** Lowest mode of a solid body on a strap or a stand, Hz; assumption. */
const shakenHz = 160
const humHarmonics = 20
/** dB an octave; assumption, as the noise `hum`. */
const humSlopeDb = -6

export const magnetic = sensor({
  id: 'magnetic',
  title: 'Magnetic pickup',
  source: 'Comb: Fletcher & Rossing section 9.8; resonance, hum and the way through the air: assumption',
  fields: {
    pickupRatio: {
      default: 0.06,
      min: 0.04,
      max: 0.3,
      unit: 'ratio',
      help: 'Where it sits, as a part of the string length from the bridge.',
    },
    resonanceHz: { default: 4000, min: 2000, max: 6000, unit: 'Hz', help: 'Resonance of coil and cable (assumption).' },
    resonanceQ: { default: 2, min: 1, max: 4, unit: 'ratio', help: 'How sharp that resonance is (assumption).' },
    humDb: { default: -40, min: -60, max: -10, unit: 'dB', help: 'Mains hum re the string (assumption).' },
    mainsHz: { default: 50, min: 50, max: 60, unit: 'Hz', help: 'Mains frequency: 50 or 60.' },
    airRejectDb: {
      default: 40,
      min: 10,
      max: 80,
      unit: 'dB',
      help: 'How far down sound in the air is heard, through the wood (assumption).',
    },
  },
  apply(sound, { sampleRateHz, values, path, stringHz }) {
    if (path === 'string' && stringHz !== null) {
      runCombDelay(sound, (values.pickupRatio / stringHz) * sampleRateHz)
    }
    if (path === 'air') {
      scale(sound, amplitudeRatioFromDb(-values.airRejectDb))
      runBiquad(sound, fall(shakenHz, sampleRateHz))
    }
    if (values.resonanceHz < highestShare * sampleRateHz) {
      runBiquad(sound, lowPass(values.resonanceHz, values.resonanceQ, sampleRateHz))
    }
  },
  own: {
    levelDb: (values) => values.humDb,
    fill(target, { sampleRateHz, values, random }) {
      const mains = { mainsHz: values.mainsHz, harmonics: humHarmonics, slopeDb: humSlopeDb }
      hum.fill(target, { sampleRateHz, random, values: mains, pluck: null, onsetS: 0, recording: null })
    },
  },
})
