/**
 * Rumble of a podium under feet and wheels: noise below a corner, carried through stand and body.
 *
 * Density flat from about 20 Hz to the corner, then falling by 12 dB an octave. Shape and corner are assumptions.
 */
import { colouredBy, fillColoured } from './colour.ts'
import { noise } from './noise.ts'

/** Below it the wood is too short to be shaken. */
const lowHz = 20
/** White noise this far under the densest part. */
const floorDb = -60

export const rumble = noise({
  id: 'rumble',
  title: 'Rumble of a podium, through the wood',
  source: 'Assumption',
  path: 'body',
  fields: {
    cornerHz: { default: 80, min: 30, max: 250, unit: 'Hz', help: 'Above it the rumble gets weaker (assumption).' },
  },
  fill(target, { sampleRateHz, random, values }) {
    const taps = colouredBy(sampleRateHz, floorDb, (hz) => {
      const low = (hz / lowHz) * (hz / lowHz)
      const high = (hz / values.cornerHz) * (hz / values.cornerHz)
      return low / (1 + low) / (1 + high * high)
    })
    fillColoured(target, taps, random)
  },
})
