/** Above the time picture: marks of methods that locked in under half of the trials, so that none is ever dropped. */
import { figureOf, type Plot, type PlotRow } from './plot.ts'
import { linearX, ratioLimits, smallestStep } from './scales.ts'
import { Mark, slotOf } from './slots.tsx'

export const lateStripPx = 28
/** "under half lock" at 13 px in the widest usual system font, and a mark's half. */
const wordsPx = 124

export function LateStrip(props: { plot: Plot; picked: readonly string[]; widthPx: number; named: boolean }) {
  const { plot, picked, widthPx, named } = props
  const ratios = plot.rows.map((row) => row.snrDb)
  const across = ratioLimits(ratios)
  // Three marks and air must fit into a ratio's place.
  const apartPx = Math.min(10, linearX(across.low + smallestStep(ratios), across, widthPx) / 3)
  return (
    <svg className="late-strip" width={widthPx} height={lateStripPx} aria-hidden="true">
      <rect width={widthPx} height={lateStripPx} fill="var(--panel)" />
      {named &&
        plot.rows.every(
          (row) => linearX(row.snrDb, across, widthPx) < widthPx - wordsPx || lateAt(row, picked).length === 0,
        ) && (
          <text x={widthPx - 6} y={lateStripPx / 2 + 4.5} textAnchor="end">
            under half lock
          </text>
        )}
      {plot.rows.flatMap((row) => {
        const late = lateAt(row, picked)
        const x = linearX(row.snrDb, across, widthPx)
        // Up to three side by side, the rest in a second line.
        const perLine = late.length > 3 ? Math.ceil(late.length / 2) : late.length
        return late.map((method, at) => {
          const inLine = at < perLine ? perLine : late.length - perLine
          const place = at % perLine
          return (
            <Mark
              key={`${method} ${row.snrDb}`}
              slot={slotOf(method)}
              x={x + (place - (inLine - 1) / 2) * apartPx}
              y={late.length > 3 ? (at < perLine ? 9 : 20) : lateStripPx / 2}
              radius={apartPx < 10 ? 2.9 : 3.6}
            />
          )
        })
      })}
    </svg>
  )
}

function lateAt(row: PlotRow | undefined, picked: readonly string[]): readonly string[] {
  return picked.filter((method) => {
    const cell = row?.cells[method]
    return row !== undefined && cell !== undefined && cell.n > 0 && figureOf(row, method, 'firstSteadyS') === null
  })
}
