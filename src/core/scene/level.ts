/**
 * The span over which ratios are set, and mean squares over it: 1.0 s from the first onset, or what the take has of it.
 */
import type { Scene } from './scene.ts'

export interface Span {
  /** Half open, in samples. */
  readonly from: number
  readonly to: number
}

const spanS = 1

export const sampleCount = (sampleRateHz: number, durationS: number): number => Math.round(sampleRateHz * durationS)

export function ratioSpan(scene: Pick<Scene, 'sampleRateHz' | 'durationS' | 'plucks'>): Span {
  const { sampleRateHz, durationS, plucks } = scene
  const onsetS = plucks.reduce((earliest, pluck) => Math.min(earliest, pluck.onsetS), Number.POSITIVE_INFINITY)
  const length = sampleCount(sampleRateHz, durationS)
  const from = Math.min(Math.round(onsetS * sampleRateHz), length)
  return { from, to: Math.min(length, from + Math.round(spanS * sampleRateHz)) }
}

/** NaN for an empty span. */
export function meanSquare(samples: Float32Array | Float64Array, span: Span): number {
  let sum = 0
  for (let i = span.from; i < span.to; i++) sum += samples[i] * samples[i]
  return sum / (span.to - span.from)
}
