/**
 * Which periods a follower searches: the stream's range in whole samples, as far as the window can hold it.
 *
 * A period is only heard where the window holds two of it (the older one and the one it is compared with), so a range
 * that asks for less than rate / (window / 2) is cut there: 4096 samples hear down to 23.5 Hz at 48 kHz, 94 Hz at 192 kHz.
 */
import { Problem } from '../problem.ts'
import type { Stream } from './method.ts'
import { refineMargin } from './refine.ts'

export interface PeriodRange {
  /** Whole lags searched, both included. */
  readonly shortestLag: number
  readonly longestLag: number
  /** Lags a curve must hold so that the longest one can be refined; at most half the window. */
  readonly lags: number
  /** Whether an estimate lies in the stream's range. */
  holds(f0Hz: number): boolean
}

/** @throws Problem when the window cannot hold two periods of even the highest frequency asked for. */
export function periodRange({ sampleRateHz, lowestHz, highestHz }: Stream, window: number): PeriodRange {
  // Lags 0 and 1 compare a sample with itself and its neighbour: no period.
  const shortestLag = Math.max(2, Math.floor(sampleRateHz / highestHz))
  const longestLag = Math.min(Math.ceil(sampleRateHz / lowestHz), Math.floor(window / 2) - refineMargin)
  if (longestLag <= shortestLag) {
    const lowest = Math.ceil(lowestHeardHz(sampleRateHz, window))
    throw new Problem(`${window} samples hear nothing below ${lowest} Hz at this sample rate`, 'window')
  }
  return {
    shortestLag,
    longestLag,
    lags: longestLag + refineMargin,
    holds: (f0Hz) => f0Hz >= lowestHz && f0Hz <= highestHz,
  }
}

/** The lowest pitch of which a period follower can hear two periods. */
export const lowestHeardHz = (sampleRateHz: number, window: number): number =>
  sampleRateHz / (Math.floor(window / 2) - refineMargin)
