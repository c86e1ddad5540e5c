/** Where the words of claims stand: above or below the readings, in rows, never over each other; the chosen method first. */
import { firstHold } from '../../core/score/claim.ts'
import type { ClaimSettings } from '../../core/score/score.ts'
import type { Track } from '../../core/study/trial.ts'
import { seconds } from '../bench/figures.ts'
import { type Frame, limitCents, xOf, yOf } from './ruler.ts'
import { claimWords } from './sentence.ts'

export interface ClaimMark {
  readonly method: string
  /** The hold, in pixels of the plot. */
  readonly left: number
  readonly right: number
  readonly top: number
  readonly bottom: number
  readonly label: { readonly text: string; readonly x: number; readonly y: number; readonly above: boolean } | null
}

const rowPx = 18
const rows = 2
/** Arrows for what is off the scale stand here. */
const edgePx = 14
/** Bold 14 px letters, on average. */
const letterPx = 7.6
/** The bracket stands this far outside the readings it holds. */
const airPx = 7

export function claimMarks(
  tracks: readonly Track[],
  frame: Frame,
  sampleRateHz: number,
  settledHz: number,
  settings: ClaimSettings,
): readonly ClaimMark[] {
  const taken: { left: number; right: number; row: number; above: boolean }[] = []
  return tracks.flatMap(({ method, readings, score }): ClaimMark[] => {
    const hold = firstHold(readings, sampleRateHz, settings)
    if (hold === null) return []
    const cents = readings.slice(hold.first, hold.last + 1).map(({ f0Hz }) => 1200 * Math.log2(f0Hz / settledHz))
    const within = (value: number): number => Math.min(limitCents, Math.max(-limitCents, value))
    const left = xOf(hold.lockS - settings.holdS, frame)
    const right = xOf(hold.lockS, frame)
    const mark = {
      method: method.id,
      left,
      right,
      top: Math.max(0, Math.min(yOf(within(Math.max(...cents)), frame) - airPx, frame.heightPx - 2 * airPx)),
      bottom: Math.min(frame.heightPx, Math.max(yOf(within(Math.min(...cents)), frame) + airPx, 2 * airPx)),
    }
    const verdict = score.claim === 'true' ? 'true' : 'false'
    const text = `${method.id} claims ${claimWords(score.claimCents)} c: ${verdict}, ${seconds(score.lockS)} s`
    const width = text.length * letterPx
    const x = Math.max(0, Math.min(left, frame.widthPx - width))
    const above = score.claimCents >= 0
    for (let row = 0; row < rows; row++) {
      const clash = taken.some(
        (other) => other.row === row && other.above === above && x < other.right + 10 && x + width > other.left - 10,
      )
      if (clash) continue
      taken.push({ left: x, right: x + width, row, above })
      const y = above ? edgePx + 11 + row * rowPx : frame.heightPx - edgePx - row * rowPx
      return [{ ...mark, label: { text, x, y, above } }]
    }
    return [{ ...mark, label: null }]
  })
}
