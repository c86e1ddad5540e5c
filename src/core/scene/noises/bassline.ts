/**
 * A bass line alone, in eighths: tones under 250 Hz that move about below and among the strings.
 *
 * The notes of the noise `stage`, held a little longer and never silent for more than one eighth. Which eighth the take begins
 * in is drawn. Common practice, no source.
 */
import { hzFromCents } from '../../maths/units.ts'
import { noise } from './noise.ts'
import { addBassNote, bassSteps } from './stage.ts'

const rests = 0.15
const t60S = 1.5
/** What has begun this many eighths before the take still rings in it. */
const before = 8

export const bassline = noise({
  id: 'bassline',
  title: 'A bass line in eighths',
  source: 'Own pattern; assumption',
  fields: {
    tempoPerMin: { default: 120, min: 40, max: 240, unit: 'count', help: 'Quarter notes a minute.' },
    bassRootHz: { default: 41.203, min: 25, max: 120, unit: 'Hz', help: 'Root of the bass line.' },
  },
  fill(target, { sampleRateHz, random, values }) {
    const eighth = (30 / values.tempoPerMin) * sampleRateHz
    const start = random.fork('start').uniform()
    const notes = random.fork('notes')
    let rested = false
    for (let n = -before; (n - start) * eighth < target.length; n++) {
      const rest: boolean = notes.uniform() < rests && !rested
      const step = bassSteps[notes.whole(bassSteps.length)]
      if (!rest) {
        addBassNote(target, hzFromCents(100 * step, values.bassRootHz), (n - start) * eighth, sampleRateHz, t60S)
      }
      rested = rest
    }
  },
})
