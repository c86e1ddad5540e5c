/**
 * The same open string on a neighbour's instrument, some cents off, plucked over and over while somebody tunes it.
 *
 * How far off and to which side is drawn once a take. The string has the stiffness of the one in hand where that is known,
 * the amplitudes of an ideal string plucked at 0.13 of its length, |sin(pi k p)| / k, and half the decay time from partial 4
 * on. It may be an octave or two higher instead: a mandolin beside a guitar.
 */
import { sin } from '../../maths/portable.ts'
import { hzFromCents } from '../../maths/units.ts'
import type { Voice } from '../oscillators.ts'
import { noise } from './noise.ts'
import { addStruck, usualTargetHz } from './struck.ts'

/** 6 to 10 cm from the bridge of a string of 0.65 m. */
const pickRatio = 0.13
/** -32 dB and less from here on. */
const partials = 40
const firstHighPartial = 4

export const unison = noise({
  id: 'unison',
  title: 'The same string on a neighbour, some cents off',
  source: 'Law of the stiff string (Fletcher 1964); detuning, decay and strokes: assumption',
  fields: {
    nearCents: { default: 8, min: 0, max: 50, unit: 'c', help: 'At least this far off, either way, drawn.' },
    farCents: { default: 20, min: 0, max: 100, unit: 'c', help: 'At most this far off.' },
    octaves: { default: 0, min: 0, max: 2, unit: 'count', whole: true, help: 'Octaves above the note in hand.' },
    strokeS: { default: 1.5, min: 0.3, max: 4, unit: 's', help: 'It is plucked this often (assumption).' },
    decayS: { default: 5, min: 4, max: 30, unit: 's', help: 'Time in which its partial 1 falls by 60 dB.' },
  },
  fill(target, { sampleRateHz, random, values, pluck, targetHz }) {
    const tuning = random.fork('tuning')
    const side = tuning.uniform() < 0.5 ? -1 : 1
    const cents = side * (values.nearCents + tuning.uniform() * (values.farCents - values.nearCents))
    const firstHz = hzFromCents(cents + 1200 * values.octaves, targetHz ?? usualTargetHz)
    const stiffness = pluck === null || pluck.recording !== undefined ? 0 : pluck.stiffness
    const voices: Voice[] = []
    for (let k = 1; k <= partials; k++) {
      const t60S = k < firstHighPartial ? values.decayS : values.decayS / 2
      voices.push({
        frequencyHz: k * firstHz * Math.sqrt((1 + stiffness * k * k) / (1 + stiffness)),
        amplitude: sin(Math.PI * k * pickRatio) / k,
        decayPerS: (3 * Math.LN10) / t60S,
        phaseRad: 0,
      })
    }
    addStruck(target, voices, sampleRateHz, values.strokeS, random.fork('strokes'))
  },
})
