/**
 * A contact at the headstock: what the neck carries to its end. Modes of the neck stand out, high notes do not arrive, and
 * little of the air does.
 *
 * Modes as peaks one behind the other, each without effect far from its own frequency; then a second-order low-pass. All of
 * it is assumption: necks differ, and a clamp adds its own mass.
 */
import { amplitudeRatioFromDb } from '../../maths/units.ts'
import { lowPass, peak, runBiquads, scale } from './biquad.ts'
import { sensor } from './sensor.ts'

const neckModesHz = [65, 190, 420, 780, 1300, 2100]
/** Flattest pass-band. */
const rollQ = Math.SQRT2 / 2

export const headstock = sensor({
  id: 'headstock',
  title: 'Contact at the headstock',
  source: 'Assumption',
  fields: {
    neckQ: { default: 25, min: 15, max: 40, unit: 'ratio', help: 'How sharp the modes of the neck are (assumption).' },
    neckDb: { default: 12, min: 0, max: 24, unit: 'dB', help: 'How far they stand out (assumption).' },
    rollHz: { default: 2500, min: 1000, max: 3500, unit: 'Hz', help: 'Above it sound does not arrive (assumption).' },
    airRejectDb: {
      default: 25,
      min: 10,
      max: 40,
      unit: 'dB',
      help: 'How far down sound in the air is heard (assumption).',
    },
  },
  apply(sound, { sampleRateHz, values, path }) {
    if (path === 'wire') return
    if (path === 'air') scale(sound, amplitudeRatioFromDb(-values.airRejectDb))
    runBiquads(sound, [
      ...neckModesHz.map((hz) => peak(hz, values.neckQ, values.neckDb, sampleRateHz)),
      lowPass(values.rollHz, rollQ, sampleRateHz),
    ])
  },
})
