/**
 * One method's readings as things to draw: a line that breaks where readings are missing or off the scale, marks thin
 * enough to be told apart, arrows for what is off the scale, whiskers from the method's own spread.
 */
import { centsBetween } from '../../core/maths/units.ts'
import type { Reading } from '../../core/methods/method.ts'
import { type Frame, limitCents, xOf, yOf } from './ruler.ts'

export interface PlottedTrack {
  readonly path: string
  readonly marks: readonly { readonly x: number; readonly y: number }[]
  readonly arrows: readonly { readonly x: number; readonly up: boolean }[]
  /** Two of the method's own standard deviations to either side. */
  readonly whiskers: readonly { readonly x: number; readonly top: number; readonly bottom: number }[]
  readonly declined: readonly { readonly x: number; readonly width: number }[]
  /** Where its name belongs: at its last answer, or the edge beyond which that lies; null: it answered nothing. */
  readonly endY: number | null
}

/** Two neighbouring marks of one method must not touch. */
const markStepPx = 14

export interface TrackOptions {
  readonly sampleRateHz: number
  readonly settledHz: number
  readonly longestGapS: number
  /** Between 0 and 1: moves the marks of one method between those of the others. */
  readonly phase: number
}

export function plotTrack(readings: readonly Reading[], frame: Frame, options: TrackOptions): PlottedTrack {
  const { sampleRateHz, settledHz, longestGapS, phase } = options
  const path: string[] = []
  const marks: { x: number; y: number }[] = []
  const arrows: { x: number; up: boolean }[] = []
  const whiskers: { x: number; top: number; bottom: number }[] = []
  const declined: { x: number; width: number }[] = []
  let endY: number | null = null
  let drawn = false
  let lastS = Number.NEGATIVE_INFINITY
  let slot = Number.NEGATIVE_INFINITY
  for (const { toSample, f0Hz, spreadCents } of readings) {
    const takeS = toSample / sampleRateHz
    if (takeS < frame.fromS) continue
    const x = xOf(takeS, frame)
    const stepPx = lastS < frame.fromS ? 2 : x - xOf(lastS, frame)
    const broken = takeS - lastS > longestGapS + 2e-6
    lastS = takeS
    if (!(f0Hz > 0)) {
      declined.push({ x: x - Math.min(stepPx, 12), width: Math.min(stepPx, 12) })
      drawn = false
      continue
    }
    const cents = centsBetween(f0Hz, settledHz)
    const mine = Math.floor(x / markStepPx - phase)
    const free = mine > slot
    if (Math.abs(cents) > limitCents) {
      endY = cents > 0 ? 0 : frame.heightPx
      if (free) arrows.push({ x, up: cents > 0 })
      if (free) slot = mine
      drawn = false
      continue
    }
    const y = yOf(cents, frame)
    path.push(`${drawn && !broken ? 'L' : 'M'}${x.toFixed(1)} ${y.toFixed(1)}`)
    // A reading that stands alone is a point: a line of no length with round ends.
    if (!drawn || broken) path.push('h0')
    drawn = true
    endY = y
    if (!free) continue
    slot = mine
    marks.push({ x, y })
    if (Number.isFinite(spreadCents)) {
      const reach = (sign: number): number =>
        yOf(Math.min(limitCents, Math.max(-limitCents, cents + sign * 2 * spreadCents)), frame)
      whiskers.push({ x, top: reach(1), bottom: reach(-1) })
    }
  }
  return { path: path.join(''), marks, arrows, whiskers, declined, endY }
}
