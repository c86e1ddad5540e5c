/**
 * A synthetic pluck as the bound sees it: its partials, its law, and the phase each partial starts with.
 */
import { kneeS } from '../scene/oscillators.ts'
import type { Partial, SyntheticPluck } from '../scene/scene.ts'
import type { BoundSignal } from '../score/bound.ts'

/** Partials start as sines with the sign of sin(pi k pickRatio) (scene/pluck.ts); the bound asks for the phase of a cosine. */
export function boundSignalOf(pluck: SyntheticPluck, partials: readonly Partial[]): BoundSignal {
  const { stiffness, firstPartialHz, pickRatio } = pluck
  const phasesRad = partials.map(({ k }) => (Math.sin(Math.PI * k * pickRatio) < 0 ? Math.PI / 2 : -Math.PI / 2))
  return { partials, stiffness, firstPartialHz, kneeS, phasesRad }
}
