/**
 * An onset, once the string is known: from where on does what the settled string must have been fit the take?
 *
 * Each of the first partials is measured over a tenth of a second after the attack and carried back to earlier moments, phase
 * and decay included. Over Gaussian noise the log likelihood of "sounds from t on" is the sum, from t on, of
 * (2 x s - s^2) / noise; it is largest at the pluck. Coherent, so it holds where the rise itself is lost in the room.
 */
import type { Spectrum } from '../maths/spectrum.ts'
import { partialHz, type StringLaw } from '../methods/stringlaw.ts'
import { powerBetween } from './bandpower.ts'

/** Higher ones turn by too much when the pitch still glides. */
const usedPartials = 6
/** How far to either side of what was found. */
const searchS = 0.08
/** Of the measured stretch, after the later end of the search: string only. */
const stretchS = 0.12
const periods = 8
/** What a stretch of a few hundredths of a second does not tell from a partial. */
const aroundHz = 25
/** Nepers: less than that says nothing. */
const leastGain = 12
/** Partials are told apart. */
const periodsToTell = 2
/** Of the settled power. */
const soundingShare = 0.2

/** Sample index; `onset` itself where the string is too weak to say more. */
export function refinedOnset(
  samples: Float32Array,
  sampleRateHz: number,
  onset: number,
  law: StringLaw,
  room: Spectrum,
): number {
  const search = Math.round(searchS * sampleRateHz)
  const length = Math.round(Math.max(stretchS, periods / law.f1Hz) * sampleRateHz)
  const from = Math.round(onset) + search
  const first = Math.max(0, Math.round(onset) - search)
  if (from + length > samples.length || first >= from) return onset
  // Log likelihood of each sample's being string, all partials together.
  const gain = new Float64Array(from - first)
  const sizes: number[] = []
  for (let k = 1; k <= usedPartials; k++) {
    const hz = partialHz(law, k)
    if (hz > 0.4 * sampleRateHz) break
    const { size, phase } = measured(samples, from, length, (2 * Math.PI * hz) / sampleRateHz)
    sizes.push(size)
    // Per sample: the density times half the rate is the variance white noise of that density would have.
    const density = powerBetween(room.density, room.binHz, hz - aroundHz, hz + aroundHz) / (2 * aroundHz)
    const noise = Math.max((density * sampleRateHz) / 2, Number.MIN_VALUE)
    const turn = (2 * Math.PI * hz) / sampleRateHz
    const middle = from + (length - 1) / 2
    for (let i = 0; i < gain.length; i++) {
      const model = size * Math.cos(turn * (first + i - middle) + phase)
      gain[i] += (samples[first + i] * model - (model * model) / 2) / noise
    }
  }
  let [sum, best, at] = [0, 0, gain.length]
  for (let i = gain.length - 1; i >= 0; i--) {
    sum += gain[i]
    if (sum > best) {
      best = sum
      at = i
    }
  }
  if (best < leastGain) return onset
  const refined = first + at
  return refined > onset && soundsBetween(samples, sampleRateHz, onset, refined, sizes, law) ? onset : refined
}

/**
 * A real string's attack is no settled string: its phases do not fit, but its partials sound. True: they do, as strong as a
 * fifth of what they settle to; or the stretch is too short to tell.
 */
function soundsBetween(
  samples: Float32Array,
  sampleRateHz: number,
  onset: number,
  refined: number,
  sizes: readonly number[],
  law: StringLaw,
): boolean {
  const from = Math.round(onset)
  const length = Math.round(refined) - from
  if (length < periodsToTell * (sampleRateHz / law.f1Hz)) return true
  let [own, settled] = [0, 0]
  for (const [i, size] of sizes.entries()) {
    own += measured(samples, from, length, (2 * Math.PI * partialHz(law, i + 1)) / sampleRateHz).size ** 2
    settled += size * size
  }
  return own > soundingShare * settled
}

/** Peak amplitude and phase, at the middle of the stretch, of what sounds there at `turn` radians a sample. */
function measured(samples: Float32Array, from: number, length: number, turn: number) {
  let [re, im, weights] = [0, 0, 0]
  for (let i = 0; i < length; i++) {
    const weight = 0.5 - 0.5 * Math.cos((2 * Math.PI * (i + 0.5)) / length)
    const angle = turn * (i - (length - 1) / 2)
    weights += weight
    re += weight * samples[from + i] * Math.cos(angle)
    im -= weight * samples[from + i] * Math.sin(angle)
  }
  return { size: (2 * Math.hypot(re, im)) / weights, phase: Math.atan2(im, re) }
}
