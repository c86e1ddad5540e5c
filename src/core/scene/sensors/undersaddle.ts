/**
 * A strip under the saddle: it feels the strings' force, which is brighter than their sound, and every touch of the wood.
 *
 * A first-order shelf lifts what lies above `shelfHz`. Sound in the air arrives through the top, whose two lowest modes stand
 * out. Height of the shelf, modes and levels are assumptions; the pitch of the modes is that of published guitar tops
 * (about 100 and 200 Hz: Fletcher & Rossing, section 9.3).
 */
import { amplitudeRatioFromDb } from '../../maths/units.ts'
import { handling } from '../noises/handling.ts'
import { peak, runBiquad, runBiquads, scale, shelf } from './biquad.ts'
import { sensor } from './sensor.ts'

/** dB over the rest of the top's response, and Q. */
const topModes = [
  { hz: 100, q: 25, db: 15 },
  { hz: 200, q: 25, db: 15 },
]

export const underSaddle = sensor({
  id: 'under-saddle',
  title: 'Strip under the saddle',
  source: 'Assumption; modes of the top after Fletcher & Rossing section 9.3',
  fields: {
    shelfHz: {
      default: 400,
      min: 200,
      max: 800,
      unit: 'Hz',
      help: 'Middle of the lift towards high notes (assumption).',
    },
    shelfDb: { default: 12, min: 0, max: 20, unit: 'dB', help: 'Height of that lift (assumption).' },
    handlingDb: { default: -20, min: -40, max: 0, unit: 'dB', help: 'Touches of the wood re the string (assumption).' },
    airRejectDb: {
      default: 15,
      min: 0,
      max: 60,
      unit: 'dB',
      help: 'How far down sound in the air is heard, through the top (assumption).',
    },
  },
  apply(sound, { sampleRateHz, values, path }) {
    if (path === 'wire') return
    if (path === 'air') {
      scale(sound, amplitudeRatioFromDb(-values.airRejectDb))
      runBiquads(
        sound,
        topModes.map(({ hz, q, db }) => peak(hz, q, db, sampleRateHz)),
      )
    }
    runBiquad(sound, shelf(values.shelfHz, values.shelfDb, sampleRateHz))
  },
  own: {
    levelDb: (values) => values.handlingDb,
    fill(target, { sampleRateHz, values, random }) {
      const touches = Object.fromEntries(Object.entries(handling.fields).map(([name, field]) => [name, field.default]))
      handling.fill(target, { sampleRateHz, random, values: touches, pluck: null, onsetS: 0, recording: null })
      runBiquad(target, shelf(values.shelfHz, values.shelfDb, sampleRateHz))
    },
  },
})
