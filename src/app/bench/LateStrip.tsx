/** Above the time picture: marks of methods that locked in under half of the trials, so that none is ever dropped. */
import { figureOf, type Plot, type PlotRow } from './plot.ts'
import { linearX, ratioLimits } from './scales.ts'
import { Mark, slotOf } from './slots.tsx'

export const lateStripPx = 28

export function LateStrip(props: { plot: Plot; picked: readonly string[]; widthPx: number; named: boolean }) {
  const { plot, picked, widthPx, named } = props
  const across = ratioLimits(plot.rows.map((row) => row.snrDb))
  return (
    <svg className="late-strip" width={widthPx} height={lateStripPx} aria-hidden="true">
      <rect width={widthPx} height={lateStripPx} fill="var(--panel)" />
      {named && lateAt(plot.rows.at(-1), picked).length === 0 && (
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
              x={x + (place - (inLine - 1) / 2) * 10}
              y={late.length > 3 ? (at < perLine ? 9 : 20) : lateStripPx / 2}
              radius={3.6}
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
