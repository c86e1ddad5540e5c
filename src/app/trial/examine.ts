/**
 * Everything the trial's view shows beyond the replay itself: picture, foreign tone, reasons, figures. Runs in a worker.
 */
import { methodById } from '../../core/methods/index.ts'
import { type Line, strongestLine } from '../../core/study/lines.ts'
import type { Study } from '../../core/study/study.ts'
import type { Replay } from '../../core/study/trial.ts'
import { type Tone, toneOf, type Why, why } from '../../core/study/why.ts'
import {
  firstBoundCents,
  type PartialRatio,
  partialRatios,
  type RatioAt,
  ratiosOverTime,
  wholeRatioDb,
} from './facts.ts'
import { type Spectrogram, spectrogramOf } from './spectrogram.ts'

export interface HeardTone extends Tone {
  /** The middle of where it was strongest, from the start of the take. */
  readonly atS: number
}

export interface Examination {
  readonly spectrogram: Spectrogram
  /** First partials of the string, as many as the picture shows. */
  readonly partials: readonly PartialRatio[]
  /** The room's strongest tone in the picture from the pluck on; null: none stands out. */
  readonly tone: HeardTone | null
  readonly wholeRatioDb: number
  readonly ratios: readonly RatioAt[]
  /** By method id. */
  readonly whys: Readonly<Record<string, Why>>
  /** By method id: evidence of its first reading, s, and the bound over as much of the string. */
  readonly firstBounds: Readonly<Record<string, { readonly windowS: number; readonly cents: number }>>
}

/** Ten partials and a little air above them. */
const shownPartials = 10
/** A low string's ten partials leave out what a stage is loudest at. */
const leastTopHz = 600
/** Tones below any string only shake the picture. */
const lowestToneHz = 25
/** A note of two beats a second at least lasts as long, and it resolves 3 Hz. */
const toneSpanS = 0.35

export function examine(study: Study, replay: Replay, span: { fromS: number; toS: number }): Examination {
  const { rendered, room, scene, tracks, trial } = replay
  const { take, noise, partials } = rendered
  const { sampleRateHz, truth } = take
  const variant = study.rooms.find(({ id }) => id === trial.room)?.variant ?? 'string'
  if (truth === null) throw new Error('a trial whose pitch nobody knows')
  const topHz = Math.max(leastTopHz, Math.min(sampleRateHz / 2, truth.settledHz * (shownPartials + 0.6)))
  const endS = take.samples.length / sampleRateHz
  const heard = strongestTone(noise, sampleRateHz, truth.onsetS, endS, topHz)
  const known =
    partials.length > 0
      ? partialRatios(partials, room, shownPartials)
      : Array.from({ length: shownPartials }, (_, i) => ({
          k: i + 1,
          hz: (i + 1) * truth.settledHz,
          ratioDb: Number.NaN,
        }))
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
    partials: known,
    tone:
      heard === null
        ? null
        : { ...toneOf(heard.line, truth, scene.noString ? [] : partials, heard.atS - truth.onsetS), atS: heard.atS },
    wholeRatioDb: wholeRatioDb(rendered),
    ratios: ratiosOverTime(rendered),
    firstBounds: Object.fromEntries(
      windows.map(([id, windowS]) => [id, { windowS, cents: bounds.get(windowS) ?? Number.NaN }]),
    ),
    whys: Object.fromEntries(
      tracks.map(({ method, readings, twin, score }) => [
        method.id,
        why({
          family: methodById(method.id).family,
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

/** Notes of a room come and go: short spans are looked at one after the other, and the tallest line wins. */
function strongestTone(
  noise: Float32Array,
  sampleRateHz: number,
  fromS: number,
  endS: number,
  highHz: number,
): { readonly line: Line; readonly atS: number } | null {
  let best: { line: Line; atS: number } | null = null
  for (let startS = fromS; startS === fromS || startS + toneSpanS <= endS; startS += toneSpanS / 2) {
    const span = { fromS: startS, toS: Math.min(endS, startS + toneSpanS), lowHz: lowestToneHz, highHz }
    const line = strongestLine(noise, sampleRateHz, span)
    if (line !== null && line.amplitude > (best?.line.amplitude ?? 0)) best = { line, atS: (startS + span.toS) / 2 }
  }
  return best
}

export type ExamineRequest = {
  readonly study: Study
  readonly replay: Replay
  readonly span: { readonly fromS: number; readonly toS: number }
}
export type ExamineAnswer = { readonly examination: Examination } | { readonly problem: string }
