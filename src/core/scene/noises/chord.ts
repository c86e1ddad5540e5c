/**
 * A keyboard that holds a chord with the note in hand in it, and strikes it anew every so often.
 *
 * A major triad and its root an octave lower; the note in hand is its root, third or fifth by lot. The keyboard is in tune
 * with itself (twelve equal semitones) and up to `offsetCents` off the note in hand as a whole. Eight harmonics a note, falling
 * by 9 dB an octave, all of one decay: an electric piano, roughly. Assumptions, all but the intervals.
 */
import { ln, pow } from '../../maths/portable.ts'
import { amplitudeRatioFromDb, hzFromCents } from '../../maths/units.ts'
import type { Voice } from '../oscillators.ts'
import { noise } from './noise.ts'
import { addStruck, usualTargetHz } from './struck.ts'

/** Semitones above the root. */
const triad = [0, 4, 7]
const below = -12
const harmonics = 8
const slopeDb = -9
/** Notes of one chord are struck unevenly by up to this, dB either way. */
const unevenDb = 3

export const chord = noise({
  id: 'chord',
  title: 'A keyboard chord held, with the note in hand in it',
  source: 'Intervals of equal temperament; sound, decay and strokes: assumption',
  fields: {
    offsetCents: {
      default: 5,
      min: 0,
      max: 50,
      unit: 'c',
      help: 'The keyboard is up to this far off the note in hand, either way, drawn.',
    },
    strokeS: { default: 2, min: 0.5, max: 4, unit: 's', help: 'The chord is struck this often (assumption).' },
    decayS: { default: 6, min: 4, max: 30, unit: 's', help: 'Time in which it falls by 60 dB (assumption).' },
  },
  fill(target, { sampleRateHz, random, values, targetHz }) {
    const cents = (2 * random.fork('tuning').uniform() - 1) * values.offsetCents
    const touch = random.fork('touch')
    const inHand = triad[touch.whole(triad.length)]
    const voices: Voice[] = []
    for (const semitone of [below, ...triad]) {
      const f0Hz = hzFromCents(cents + 100 * (semitone - inHand), targetHz ?? usualTargetHz)
      const level = amplitudeRatioFromDb(unevenDb * (2 * touch.uniform() - 1))
      for (let k = 1; k <= harmonics; k++) {
        const amplitude = level * pow(10, (slopeDb * ln(k)) / Math.LN2 / 20)
        voices.push({ frequencyHz: k * f0Hz, amplitude, decayPerS: (3 * Math.LN10) / values.decayS, phaseRad: 0 })
      }
    }
    addStruck(target, voices, sampleRateHz, values.strokeS, random.fork('strokes'))
  },
})
