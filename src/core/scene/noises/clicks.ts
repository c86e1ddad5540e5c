/**
 * A count-in: clicks on the beat, each a short tone with a burst of noise and a weak tail of room.
 *
 * The first of four is pitched a fourth higher. Where in the bar the take begins is drawn. Pitch, length and tail are
 * assumptions; a beat never takes longer than the second over which ratios are set.
 */
import { exp, pow } from '../../maths/portable.ts'
import type { Random } from '../../maths/random.ts'
import { addVoices } from '../oscillators.ts'
import { noise } from './noise.ts'

const beatsPerBar = 4
/** Five semitones. */
const accent = pow(2, 5 / 12)
const toneT60S = 0.06
/** Level at the start re the tone's peak, and T60. */
const attack = { level: 0.5, t60S: 0.015 }
const tail = { level: 0.02, t60S: 0.8 }
const highestShare = 0.45

export const clicks = noise({
  id: 'clicks',
  title: 'Count-in clicks',
  source: 'Assumption',
  fields: {
    tempoPerMin: { default: 120, min: 60, max: 240, unit: 'count', help: 'Clicks a minute.' },
    toneHz: { default: 1500, min: 500, max: 2600, unit: 'Hz', help: 'Pitch of a click (assumption).' },
  },
  fill(target, { sampleRateHz, random, values }) {
    const beat = (60 / values.tempoPerMin) * sampleRateHz
    const start = random.fork('start').uniform() * beatsPerBar
    const first = Math.floor(start) - beatsPerBar
    // A bar before the take has sounded already: its tails reach into it.
    for (let n = first; (n - start) * beat < target.length; n++) {
      const onset = (n - start) * beat
      const toneHz = values.toneHz * ((n + beatsPerBar) % beatsPerBar === 0 ? accent : 1)
      const decayPerS = (3 * Math.LN10) / toneT60S
      const tone = { frequencyHz: toneHz, amplitude: 1, decayPerS, phaseRad: 0 }
      if (toneHz < highestShare * sampleRateHz) addVoices(target, [tone], sampleRateHz, onset)
      for (const burst of [attack, tail])
        addBurst(target, burst, sampleRateHz, onset, random.fork('burst', n, burst.t60S))
    }
  },
})

function addBurst(
  target: Float64Array,
  { level, t60S }: { readonly level: number; readonly t60S: number },
  sampleRateHz: number,
  onset: number,
  random: Random,
): void {
  const keep = exp((-3 * Math.LN10) / (t60S * sampleRateHz))
  const first = Math.ceil(onset)
  // Twice T60 is -120 dB: nothing is left.
  const last = Math.min(target.length, first + Math.ceil(2 * t60S * sampleRateHz))
  let size = level
  for (let i = first; i < last; i++) {
    const value = size * random.gaussian()
    if (i >= 0) target[i] += value
    size *= keep
  }
}
