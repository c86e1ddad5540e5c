/**
 * The noise of the pluck itself: finger or pick leaving the string, a knock on the body.
 *
 * White noise, softened by a one-pole low-pass at 4 kHz, under a falling cubic step that ends after attackMs. All of it is an
 * assumption: attacks were not measured. Its mean square over its own length is exact.
 */
import { exp } from '../maths/portable.ts'
import type { Random } from '../maths/random.ts'
import { powerRatioFromDb } from '../maths/units.ts'
import { rmsOf } from './components.ts'
import type { SyntheticPluck } from './scene.ts'

/** A pick's click is bright, but not as white noise is: assumption. */
const softenedHz = 4000

/** Adds the burst to `target`, whose first sample is the start of the take; nothing with attackMs 0. */
export function addAttack(target: Float64Array, pluck: SyntheticPluck, sampleRateHz: number, random: Random): void {
  const { onsetS, attackDb, attackMs } = pluck
  const length = Math.round((attackMs / 1000) * sampleRateHz)
  if (length === 0) return
  const burst = new Float64Array(length)
  random.fillGaussian(burst)
  const kept = exp((-2 * Math.PI * softenedHz) / sampleRateHz)
  let soft = 0
  let power = 0
  for (let i = 0; i < length; i++) {
    soft = kept * soft + (1 - kept) * burst[i]
    const left = 1 - i / length
    burst[i] = soft * left * left * (3 - 2 * left)
    power += burst[i] * burst[i]
  }
  if (power === 0) return
  const gain = rmsOf(pluck) * Math.sqrt((powerRatioFromDb(attackDb) * length) / power)
  const onset = Math.round(onsetS * sampleRateHz)
  const to = Math.min(length, target.length - onset)
  for (let i = 0; i < to; i++) target[onset + i] += gain * burst[i]
}
