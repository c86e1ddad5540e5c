/**
 * A synthetic pluck as samples and as the list of its partials. The string is described in stringlaw.ts, what the pluck sets
 * going in components.ts, its noise in attack.ts, its truth in truth.ts.
 */
import { ln } from '../maths/portable.ts'
import { addAttack } from './attack.ts'
import { components, idealSetting, pluckStream, type StringSetting } from './components.ts'
import { addVoices, faintest, type Voice } from './oscillators.ts'
import type { Partial, SyntheticPluck } from './scene.ts'

/** Partials in take units, rising in k, the first polarisation first. @throws Problem as `components`. */
export const pluckPartials = (
  pluck: SyntheticPluck,
  sampleRateHz: number,
  setting: StringSetting = idealSetting,
): Partial[] =>
  components(pluck, sampleRateHz, setting).map(({ k, polarisation, deviationCents, voice }) => ({
    k,
    frequencyHz: voice.frequencyHz,
    amplitude: Math.abs(voice.amplitude),
    decayPerS: voice.decayPerS,
    ...(voice.lateDecayPerS === undefined ? {} : { lateDecayPerS: voice.lateDecayPerS }),
    ...(deviationCents === 0 ? {} : { deviationCents }),
    ...(polarisation === 1 ? {} : { polarisation }),
  }))

/** Adds the pluck to `target`, whose first sample is the start of the take. @throws Problem as `components`. */
export function addPluck(
  target: Float64Array,
  pluck: SyntheticPluck,
  sampleRateHz: number,
  setting: StringSetting = idealSetting,
): void {
  const rising = components(pluck, sampleRateHz, setting).map(({ voice }) => voice)
  // One polarisation falls much faster than the other: side by side, the slow one would keep both alive.
  const voices = pluck.polMix === 0 ? rising : longestLast(rising)
  const glide = pluck.glideCents === 0 ? null : { cents: pluck.glideCents, timeS: pluck.glideS }
  addVoices(target, voices, sampleRateHz, pluck.onsetS * sampleRateHz, glide)
  const { attackSeed = setting.seed } = setting
  addAttack(target, pluck, sampleRateHz, pluckStream({ ...setting, seed: attackSeed }, 'attack'))
}

/** Voices that stop at about the same time next to each other: passes over several at once then end early. */
function longestLast(voices: readonly Voice[]): Voice[] {
  const strongest = voices.reduce((most, { amplitude }) => Math.max(most, Math.abs(amplitude)), 0)
  // MAX_VALUE for a voice that never falls: infinities would have no difference.
  const lifeS = ({ amplitude, decayPerS }: Voice): number =>
    decayPerS > 0 ? ln(Math.abs(amplitude) / (faintest * strongest)) / decayPerS : Number.MAX_VALUE
  return voices.toSorted((one, other) => lifeS(one) - lifeS(other))
}
