/**
 * The roar of a crowd: thousands of shouts, so dense that only their spectrum and a slow swell are left.
 *
 * Nearly pink between 150 Hz and 4 kHz, falling by 12 dB an octave more beyond either end. A stand-in: measured crowds vary, and
 * no table of shouted speech was at hand; single voices near by are not in it.
 */
import { colouredBy, fillColoured } from './colour.ts'
import { noise } from './noise.ts'
import { swell } from './swell.ts'

const lowHz = 150
const highHz = 4000
/** White noise this far under the densest part. */
const floorDb = -55
/** Groups that swell by themselves. */
const groups = 12

export const crowd = noise({
  id: 'crowd',
  title: 'The roar of a crowd',
  source: 'Assumption: nearly pink from 150 Hz to 4 kHz',
  fields: {
    swellsPerS: { default: 0.5, min: 0.1, max: 4, unit: 'Hz', help: 'How fast its loudness moves (assumption).' },
  },
  fill(target, { sampleRateHz, random, values }) {
    const taps = colouredBy(sampleRateHz, floorDb, (hz) => {
      const low = hz / lowHz
      const high = hz / highHz
      const rise = low * low * low * low
      // 1 / f between the corners; at 0 Hz the rise wins.
      return (low * low * low) / (1 + rise) / (1 + high * high * high * high)
    })
    fillColoured(target, taps, random.fork('voices'))
    swell(target, sampleRateHz, groups, values.swellsPerS, random.fork('swell'))
  },
})
