/**
 * Handling: a sleeve that rubs along the wood, and knocks of fingers, cable and strap.
 *
 * The rub is noise whose density falls by 12 dB an octave above `rubHz`, swelling and fading; a knock is two damped modes of a
 * body and a short burst, some every second at random moments. All of it is assumption.
 */
import { exp } from '../../maths/portable.ts'
import type { Random } from '../../maths/random.ts'
import { addVoices } from '../oscillators.ts'
import { colouredBy, fillColoured } from './colour.ts'
import { noise } from './noise.ts'
import { swell } from './swell.ts'

/** Modes that a knock sounds, Hz, with their level and T60 in s. */
const knockModes = [
  { hz: 105, amplitude: 1, t60S: 0.25 },
  { hz: 210, amplitude: 0.6, t60S: 0.15 },
]
const burst = { amplitude: 0.2, t60S: 0.02 }
/** RMS of the rub; a middling knock starts at 1. */
const rubRms = 0.15
const rubsPerS = 1.5
/** Hands that rub: few, so that the swell is deep. */
const hands = 2
/** White noise this far under the rub's densest part. */
const floorDb = -50

export const handling = noise({
  id: 'handling',
  title: 'Handling: rubs and knocks on the wood',
  source: 'Assumption',
  path: 'body',
  fields: {
    knocksPerS: { default: 2, min: 0, max: 20, unit: 'count', help: 'Knocks a second (assumption).' },
    rubHz: { default: 250, min: 80, max: 1000, unit: 'Hz', help: 'Above it the rub gets weaker (assumption).' },
  },
  fill(target, { sampleRateHz, random, values }) {
    const corner = values.rubHz
    const taps = colouredBy(sampleRateHz, floorDb, (hz) => {
      const over = hz / corner
      return 1 / (1 + over * over * over * over)
    })
    fillColoured(target, taps, random.fork('rub'))
    swell(target, sampleRateHz, hands, rubsPerS, random.fork('hands'))
    let power = 0
    for (let i = 0; i < target.length; i++) power += target[i] * target[i]
    const gain = rubRms / Math.sqrt(power / target.length)
    for (let i = 0; i < target.length; i++) target[i] *= gain
    if (values.knocksPerS > 0) addKnocks(target, sampleRateHz, values.knocksPerS, random.fork('knocks'))
  },
})

function addKnocks(target: Float64Array, sampleRateHz: number, knocksPerS: number, random: Random): void {
  // One place a knock, anywhere in it: no two draws depend on the rate, and none is missing for long.
  const place = sampleRateHz / knocksPerS
  for (let n = -1; n * place < target.length; n++) {
    const onset = (n + random.uniform()) * place
    const size = (random.uniform() < 0.5 ? -1 : 1) * (0.3 + 1.4 * random.uniform())
    const strokes = random.fork(n)
    const voices = knockModes.map(({ hz, amplitude, t60S }) => ({
      frequencyHz: hz,
      amplitude: size * amplitude,
      decayPerS: (3 * Math.LN10) / t60S,
      phaseRad: 0,
    }))
    addVoices(target, voices, sampleRateHz, onset)
    const keep = exp((-3 * Math.LN10) / (burst.t60S * sampleRateHz))
    const first = Math.ceil(onset)
    const last = Math.min(target.length, first + Math.ceil(2 * burst.t60S * sampleRateHz))
    let level = size * burst.amplitude
    for (let i = first; i < last; i++) {
      const value = level * strokes.gaussian()
      if (i >= 0) target[i] += value
      level *= keep
    }
  }
}
