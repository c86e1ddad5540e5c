/** The pluck of a study's synthetic string, all settings filled. */
import { fill } from '../fields.ts'
import { pluckFields, type SyntheticPluck } from '../scene/scene.ts'
import type { StudyString } from './study.ts'

/** @throws Problem for a setting that is not known or beyond its limits. */
export const syntheticPluck = (string: StudyString, onsetS: number, firstPartialHz: number): SyntheticPluck =>
  fill(pluckFields, { ...string.pluck, onsetS, firstPartialHz })
