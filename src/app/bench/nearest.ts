/** Which drawn point a click means. */
import { claimRowPx, claimTopPx } from './ClaimBars.tsx'
import { figureOf, type Plot, type Quantity } from './plot.ts'
import { type Heights, type Limits, linearX, logY, ratioLimits } from './scales.ts'

export type Row = 'error' | 'time' | 'claims'

/** The drawn point next to a click; in the claims, the box that was hit. */
export function nearest(
  plot: Plot,
  row: Row,
  x: number,
  y: number,
  view: {
    widthPx: number
    heights: Heights
    limits: Limits
    times: Limits
    picked: readonly string[]
    methods: readonly string[]
  },
): { snrDb: number; method: string } | null {
  const across = ratioLimits(plot.rows.map(({ snrDb }) => snrDb))
  let best: { snrDb: number; method: string } | null = null
  let least = Number.POSITIVE_INFINITY
  const offer = (snrDb: number, method: string, awayY: number, handicap: number): void => {
    const away = Math.hypot(linearX(snrDb, across, view.widthPx) - x, awayY) + handicap
    if (away < least) {
      least = away
      best = { snrDb, method }
    }
  }
  for (const entry of plot.rows) {
    if (row === 'claims') {
      const method = view.picked[Math.floor((y - claimTopPx) / claimRowPx)]
      if (method !== undefined) offer(entry.snrDb, method, 0, 0)
      continue
    }
    const quantity: Quantity = row === 'error' ? 'medianAbsCents' : 'firstSteadyS'
    for (const method of view.methods) {
      const figure = figureOf(entry, method, quantity)
      if (figure === null) continue
      const [limits, heightPx] =
        row === 'error' ? [view.limits, view.heights.errorPx] : [view.times, view.heights.timePx]
      // A line in colour wins over a grey one that is a little nearer.
      offer(entry.snrDb, method, logY(figure.value, limits, heightPx) - y, view.picked.includes(method) ? 0 : 6)
    }
  }
  return best
}
