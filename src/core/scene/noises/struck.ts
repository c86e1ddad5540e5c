/**
 * A set of tones struck again and again: what a keyboard or a player nearby does all the time.
 *
 * Each stroke damps the one before, within `fadeS`, so that equal tones never add up. The first stroke has fallen before the
 * take begins; which part of its ring the take begins in is drawn.
 */
import type { Random } from '../../maths/random.ts'
import { addVoices, type Voice } from '../oscillators.ts'

/** As long as a damper takes to bite, so that no cut is heard as a click. */
const fadeS = 0.02
/** Tones above this share of the rate are left out. */
const highestShare = 0.45
/** What a noise sounds at where nobody said which note is in hand: the fifth string of a guitar. */
export const usualTargetHz = 110

export function addStruck(
  target: Float64Array,
  voices: readonly Voice[],
  sampleRateHz: number,
  periodS: number,
  random: Random,
): void {
  const heard = voices.filter(({ frequencyHz }) => frequencyHz < highestShare * sampleRateHz)
  const period = periodS * sampleRateHz
  const fade = Math.ceil(fadeS * sampleRateHz)
  const start = random.uniform()
  for (let n = 0; (n - start) * period < target.length; n++) {
    const onset = (n - start) * period
    const from = Math.max(0, Math.ceil(onset))
    const damped = Math.ceil(onset + period)
    const to = Math.min(target.length, damped + fade)
    if (to <= from) continue
    const ring = new Float64Array(to - from)
    addVoices(ring, heard, sampleRateHz, onset - from)
    for (let i = from; i < to; i++) {
      const left = i < damped ? 1 : 1 - (i - damped + 0.5) / fade
      target[i] += left * left * (3 - 2 * left) * ring[i - from]
    }
  }
}
