/**
 * A recording as noise, from a random place in it or in a stretch of it, round and round for as long as the take lasts.
 *
 * Where the end meets the beginning the two overlap with weights sqrt(1 - u), sqrt(u): parts that have nothing to do with
 * each other keep their power. A short recording repeats audibly; nothing here makes it longer than it is.
 */
import { Problem } from '../../problem.ts'
import { noise } from './noise.ts'

/** Long enough to hide the seam of a steady sound. */
const overlapS = 0.05
/** Never more than this share of a short recording is overlap. */
const mostOverlap = 0.25

export const recorded = noise({
  id: 'recorded',
  title: 'A recording, looped',
  source: 'Whatever the recording is',
  fields: {
    fromS: { default: 0, min: 0, max: 3600, unit: 's', help: 'From here on in the recording it may begin.' },
    withinS: {
      default: 0,
      min: 0,
      max: 3600,
      unit: 's',
      help: 'It begins within so long after that; 0: anywhere in the recording.',
    },
  },
  recorded: true,
  fill(target, { sampleRateHz, random, values, recording }) {
    if (recording === null) throw new Problem('is missing', 'recording')
    const { samples } = recording
    const overlap = Math.floor(Math.min(overlapS * sampleRateHz, mostOverlap * samples.length))
    const period = samples.length - overlap
    const within = Math.round(values.withinS * sampleRateHz)
    let place = (Math.round(values.fromS * sampleRateHz) + random.whole(within === 0 ? period : within)) % period
    for (let i = 0; i < target.length; i++) {
      // The last `overlap` samples sound once, under the first ones.
      const u = place < overlap ? (place + 0.5) / overlap : 1
      target[i] = u === 1 ? samples[place] : Math.sqrt(u) * samples[place] + Math.sqrt(1 - u) * samples[period + place]
      if (++place === period) place = 0
    }
  },
})
