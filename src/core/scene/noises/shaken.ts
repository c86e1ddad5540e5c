/**
 * Loud sound as wood carries it: pink noise in which the modes of a hollow body stand out.
 *
 * What a pickup on the body hears of a stage without any string sounding. Two lowest modes as published for guitar tops (about
 * 100 and 200 Hz: Fletcher & Rossing, section 9.3); the four above, their height and sharpness are assumptions.
 */
import { peak, runBiquads } from '../sensors/biquad.ts'
import { noise } from './noise.ts'
import { fillPink } from './pink.ts'

const modesHz = [100, 200, 295, 390, 515, 680]
const quality = 25
/** Before the take: 16 time constants of the slowest mode, Q / (pi f) = 80 ms. */
const warmUpS = 1.3

export const shaken = noise({
  id: 'shaken',
  title: 'Loud sound through the wood of a hollow body',
  source: 'Assumption; lowest modes after Fletcher & Rossing section 9.3',
  path: 'body',
  fields: {
    modesDb: { default: 15, min: 0, max: 30, unit: 'dB', help: 'How far the modes stand out (assumption).' },
  },
  fill(target, { sampleRateHz, random, values }) {
    const warmUp = Math.ceil(warmUpS * sampleRateHz)
    const samples = new Float64Array(warmUp + target.length)
    fillPink(samples, sampleRateHz, random)
    runBiquads(
      samples,
      modesHz.map((hz) => peak(hz, quality, values.modesDb, sampleRateHz)),
    )
    target.set(samples.subarray(warmUp))
  },
})
