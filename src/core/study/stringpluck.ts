/** The pluck of a study's synthetic string, all settings filled: its own, then those usual for its kind, then ideal ones. */
import { fill } from '../fields.ts'
import { kindPluckValues } from '../scene/kinds.ts'
import { pluckFields, type SyntheticPluck } from '../scene/scene.ts'
import type { StudyString } from './study.ts'

/** @throws Problem for a setting that is not known or beyond its limits. */
export function syntheticPluck({ pluck, kind }: StudyString, onsetS: number, firstPartialHz: number): SyntheticPluck {
  const pitch = { onsetS, firstPartialHz }
  if (kind === undefined) return fill(pluckFields, { ...pluck, ...pitch })
  return { ...fill(pluckFields, { ...kindPluckValues(kind, firstPartialHz), ...pluck, ...pitch }), kind }
}
