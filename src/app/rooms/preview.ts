/**
 * Three seconds of a room: the first alone, then a string of the study in it, as loud as the room. A room whose levels are
 * its own keeps them.
 */
import { render } from '../../core/scene/render.ts'
import type { Recordings, Scene } from '../../core/scene/scene.ts'
import type { Study, StudyRoom, StudyString } from '../../core/study/study.ts'
import { sceneOf } from '../../core/study/trialscene.ts'

export const previewS = 3
const leadS = 1
const snrDb = 0

/** What the worker is asked. */
export interface PreviewRequest {
  readonly scene: Scene
  readonly recordings: Recordings
}

export type PreviewAnswer =
  | { readonly string: Float32Array; readonly noise: Float32Array; readonly sampleRateHz: number }
  | { readonly problem: string }

export function previewScene(study: Study, string: StudyString, room: StudyRoom): Scene {
  const { level: _level, ...plain } = study
  const short: Study = { ...plain, takeS: previewS, leadS, detuneCents: 0 }
  return sceneOf(short, string, room, { index: 0, string: string.id, room: room.id, snrDb, repeat: 0 })
}

/** @throws Problem when the room cannot be rendered. */
export function preview({ scene, recordings }: PreviewRequest): PreviewAnswer {
  const { clean, noise } = render(scene, recordings)
  return { string: clean, noise, sampleRateHz: scene.sampleRateHz }
}
