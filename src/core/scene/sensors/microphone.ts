/**
 * A microphone before the instrument: the strings as the body radiates them, and the room as it is.
 *
 * A body much smaller than the wavelength radiates by the volume it moves: below its air mode the hole undoes what the top
 * does and sound falls by 24 dB an octave, of which a second-order high-pass carries half (the strings' own force at the
 * bridge is flat down there). Air mode and top mode stand out (about 100 and 200 Hz: Fletcher & Rossing, section 9.3). A
 * stand-in for a measured response, with neither its hundreds of modes nor a direction.
 */
import { amplitudeRatioFromDb } from '../../maths/units.ts'
import { highPass, peak, runBiquads, scale } from './biquad.ts'
import { sensor } from './sensor.ts'

/** Below it a guitar's body is a poor source; assumption, a little under its air mode. */
const radiationHz = 90
const radiationQ = Math.SQRT2 / 2
/** dB over the mean of the higher modes; assumption. */
const bodyModes = [
  { hz: 100, q: 25, db: 10 },
  { hz: 200, q: 25, db: 10 },
]

export const microphone = sensor({
  id: 'microphone',
  title: 'Microphone before the instrument',
  source: 'Assumption; modes after Fletcher & Rossing section 9.3',
  fields: {
    airDb: {
      default: 0,
      min: -20,
      max: 20,
      unit: 'dB',
      help: 'Sound in the air against what the instrument itself gives off (assumption).',
    },
    radiation: {
      default: 1,
      min: 0,
      max: 1,
      unit: 'count',
      whole: true,
      help: '1: strings are heard as the body radiates them; 0: as they are.',
    },
  },
  apply(sound, { sampleRateHz, values, path }) {
    if (path === 'air') scale(sound, amplitudeRatioFromDb(values.airDb))
    if (path === 'air' || path === 'wire' || values.radiation === 0) return
    runBiquads(sound, [
      highPass(radiationHz, radiationQ, sampleRateHz),
      ...bodyModes.map(({ hz, q, db }) => peak(hz, q, db, sampleRateHz)),
    ])
  },
})
