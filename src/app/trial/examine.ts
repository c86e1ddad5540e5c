/**
 * Everything the trial's view shows beyond the replay itself: picture, foreign tone, reasons, figures. Runs in a worker.
 */
import { methodById } from '../../core/methods/index.ts'
import { foreignLine, foreignTopHz, strongestLine } from '../../core/study/lines.ts'
import type { Study } from '../../core/study/study.ts'
import type { Replay } from '../../core/study/trial.ts'
import { type Tone, toneOf, type Why, why } from '../../core/study/why.ts'
import { methodIdOf } from '../run/names.ts'
import { firstBoundCents, type PartialRatio, partialRatios } from './facts.ts'
import { type Spectrogram, spectrogramOf } from './spectrogram.ts'

export interface HeardTone extends Tone {
  /** The middle of where it was strongest, from the start of the take. */
  readonly atS: number
}

export interface Examination {
  readonly spectrogram: Spectrogram
  /** First partials of the string, as many as the picture shows. */
  readonly partials: readonly PartialRatio[]
  /** The room's strongest tone in the first second after the pluck; null: none stands out. */
  readonly tone: HeardTone | null
  /** By method id. */
  readonly whys: Readonly<Record<string, Why>>
  /** By method id: evidence of its first reading, s, and the bound over as much of the string. */
  readonly firstBounds: Readonly<Record<string, { readonly windowS: number; readonly cents: number }>>
}

export function examine(study: Study, replay: Replay, span: { fromS: number; toS: number }): Examination {
  const { rendered, scene, tracks, trial, levels } = replay
  const { take, noise, partials } = rendered
  const { sampleRateHz, truth } = take
  const variant = study.rooms.find(({ id }) => id === trial.room)?.variant ?? 'string'
  if (truth === null) throw new Error('a trial whose pitch nobody knows')
  const topHz = foreignTopHz(truth.settledHz, sampleRateHz)
  const heard = foreignLine(noise, sampleRateHz, truth.onsetS, truth.settledHz)
  const windows = tracks.map(({ method, readings }) => {
    const first = readings[0]
    return [method.id, first === undefined ? Number.NaN : (first.toSample - first.fromSample) / sampleRateHz] as const
  })
  const bounds = new Map<number, number>()
  for (const [, windowS] of windows) {
    if (!bounds.has(windowS)) bounds.set(windowS, firstBoundCents(replay, windowS))
  }
  return {
    spectrogram: spectrogramOf(take.samples, sampleRateHz, span, truth.settledHz, topHz),
    partials: partialRatios(partials, truth, levels),
    tone:
      heard === null
        ? null
        : { ...toneOf(heard.line, truth, scene.noString ? [] : partials, heard.atS - truth.onsetS), atS: heard.atS },
    firstBounds: Object.fromEntries(
      windows.map(([id, windowS]) => [id, { windowS, cents: bounds.get(windowS) ?? Number.NaN }]),
    ),
    whys: Object.fromEntries(
      tracks.map(({ method, readings, twin, score }) => [
        method.id,
        why({
          family: methodById(methodIdOf(method.id)).family,
          readings,
          twin,
          score,
          sampleRateHz,
          truth,
          settings: study.claim,
          variant,
          partials,
          lineIn: (wanted) => strongestLine(noise, sampleRateHz, wanted),
        }),
      ]),
    ),
  }
}

export type ExamineRequest = {
  readonly study: Study
  readonly replay: Replay
  readonly span: { readonly fromS: number; readonly toS: number }
}
export type ExamineAnswer = { readonly examination: Examination } | { readonly problem: string }
