/** What one trial's figures need beyond its levels: where the partials are, and the bound at first sight. */
import type { Partial, Truth } from '../../core/scene/scene.ts'
import { openBound } from '../../core/score/bound.ts'
import { boundSignalOf } from '../../core/study/boundsignal.ts'
import type { Levels } from '../../core/study/levels.ts'
import type { Replay } from '../../core/study/trial.ts'

export interface PartialRatio {
  readonly k: number
  readonly hz: number
  /** String over room within 50 c of it, over the first second; NaN without a string. */
  readonly ratioDb: number
}

/** Partials that levels speak of and the string has; whole multiples of the pitch for a recorded one. */
export function partialRatios(partials: readonly Partial[], truth: Truth, levels: Levels): readonly PartialRatio[] {
  return levels.inBandDb.flatMap((ratioDb, place): PartialRatio[] => {
    const k = place + 1
    const known = partials.find((partial) => partial.k === k)
    if (known === undefined && partials.length > 0) return []
    return [{ k, hz: known?.frequencyHz ?? k * truth.settledHz, ratioDb }]
  })
}

/** Stiffness-known bound over the first `windowOfS` of the string; NaN without a synthetic string. */
export function firstBoundCents({ scene, rendered, room }: Replay, windowOfS: number): number {
  const pluck = scene.plucks[0]
  if (scene.noString || pluck === undefined || pluck.recording !== undefined) return Number.NaN
  return openBound(boundSignalOf(pluck, rendered.partials), room).sdCents(0, windowOfS)
}
