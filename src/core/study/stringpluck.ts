/** The pluck of a study's synthetic string, all settings filled: its own, then those usual for its kind, then ideal ones. */
import { fill } from '../fields.ts'
import { powerRatioFromDb } from '../maths/units.ts'
import { kindPluckValues } from '../scene/kinds.ts'
import { pluckFields, type SyntheticPluck } from '../scene/scene.ts'
import type { StudyString } from './study.ts'

/** @throws Problem for a setting that is not known or beyond its limits. */
export function syntheticPluck(
  { pluck, kind, partials }: StudyString,
  onsetS: number,
  firstPartialHz: number,
): SyntheticPluck {
  const pitch = { onsetS, firstPartialHz }
  if (kind === undefined) return { ...fill(pluckFields, { ...pluck, ...pitch }), ...partials }
  return {
    ...fill(pluckFields, { ...kindPluckValues(kind, firstPartialHz), ...pluck, ...pitch }),
    ...partials,
    kind,
  }
}

/**
 * Let go with more force by so much, a string starts sharper: its stretch, and so the glide, goes with the square of the
 * amplitude (Legge & Fletcher 1984, JASA 76:5-12). To a thousandth of a cent, for last bits that differ between engines; the field's
 * limits hold. Its level in the samples stays: ratios set the noise.
 */
export function pluckedHarder(pluck: SyntheticPluck, harderDb: number): SyntheticPluck {
  if (harderDb === 0) return pluck
  const { min, max } = pluckFields.glideCents
  const glideCents = Math.round(1000 * pluck.glideCents * powerRatioFromDb(harderDb)) / 1000
  return { ...pluck, glideCents: Math.min(max, Math.max(min, glideCents)) }
}
