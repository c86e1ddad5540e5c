/**
 * A synthetic pluck as samples and as the list of its partials. The string is described in stringlaw.ts, what the pluck sets
 * going in components.ts, its noise in attack.ts, its truth in truth.ts.
 */
import { addAttack } from './attack.ts'
import { components, idealSetting, pluckStream, type StringSetting } from './components.ts'
import { addVoices } from './oscillators.ts'
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
  const voices = components(pluck, sampleRateHz, setting).map(({ voice }) => voice)
  const glide = pluck.glideCents === 0 ? null : { cents: pluck.glideCents, timeS: pluck.glideS }
  addVoices(target, voices, sampleRateHz, pluck.onsetS * sampleRateHz, glide)
  addAttack(target, pluck, sampleRateHz, pluckStream(setting, 'attack'))
}
