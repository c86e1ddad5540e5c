/** What stands around the pictures: axes drawn once, names of lines at the last column, marks of the claims' rows. */
import { claimRowPx } from './ClaimBars.tsx'
import { familyOf, isMixed } from './families.ts'
import { signedDb } from './figures.ts'
import { figureOf, type Plot } from './plot.ts'
import { type Limits, linearX, logY, ratioLimits, spread, timeTicks } from './scales.ts'
import { MarkIcon } from './slots.tsx'

export function Axis(props: {
  widthPx: number
  heightPx: number
  limits: Limits
  ticks: readonly number[]
  name: string | null
  tolerance?: number
}) {
  const { widthPx: axisPx, heightPx, limits, ticks, name, tolerance } = props
  const apart = (tick: number): boolean =>
    tolerance === undefined || Math.abs(logY(tick, limits, heightPx) - logY(tolerance, limits, heightPx)) > 13
  return (
    <svg className="axis" width={axisPx} height={heightPx} aria-hidden="true">
      {name !== null && (
        <text className="axis-name" transform={`translate(11 ${heightPx / 2}) rotate(-90)`} textAnchor="middle">
          {name}
        </text>
      )}
      {ticks.filter(apart).map((tick) => (
        <text key={tick} x={axisPx - 8} y={logY(tick, limits, heightPx) + 4.5} textAnchor="end">
          {tick}
        </text>
      ))}
      {tolerance !== undefined && (
        <text className="strong" x={axisPx - 4} y={logY(tolerance, limits, heightPx) + 4.5} textAnchor="end">
          {tolerance} ]
        </text>
      )}
    </svg>
  )
}

export function LockAxis({ holdS, limits, heightPx }: { holdS: number; limits: Limits; heightPx: number }) {
  return (
    <svg className="axis" width="64" height={heightPx} aria-hidden="true">
      <text className="axis-name" transform={`translate(54 ${heightPx / 2}) rotate(90)`} textAnchor="middle">
        lock, s
      </text>
      {timeTicks(limits).map((tick) => (
        <text key={tick} x="8" y={logY(tick, limits, heightPx) + 4.5}>
          {Number((tick + holdS).toFixed(2))}
        </text>
      ))}
    </svg>
  )
}

export function LineNames(props: { plot: Plot; limits: Limits; picked: readonly string[]; heightPx: number }) {
  const { plot, limits, picked, heightPx } = props
  const ends = picked.map((method) => {
    const row = plot.rows.findLast((entry) => figureOf(entry, method, 'medianAbsCents') !== null)
    const figure = row === undefined ? null : figureOf(row, method, 'medianAbsCents')
    return figure === null ? heightPx : logY(figure.value, limits, heightPx)
  })
  const places = spread(ends, 18, heightPx - 8)
  return (
    <ul className="line-names" style={{ height: heightPx }}>
      {picked.map((method, at) => (
        <li key={method} style={{ top: (places[at] ?? 0) - 10 }}>
          <MarkIcon methodId={method} />
          <Named method={method} among={picked} />
        </li>
      ))}
    </ul>
  )
}

export function ClaimRows({ picked }: { picked: readonly string[] }) {
  return (
    <ul className="claim-rows" aria-hidden="true">
      {picked.map((method) => (
        <li key={method} style={{ height: claimRowPx }}>
          <MarkIcon methodId={method} />
        </li>
      ))}
    </ul>
  )
}

export function RatioAxis({ plot, widthPx }: { plot: Plot; widthPx: number }) {
  const ratios = plot.rows.map((row) => row.snrDb)
  const across = ratioLimits(ratios)
  // 34 px hold "−10" with air on both sides.
  const every = Math.max(1, Math.ceil((34 * ratios.length) / Math.max(1, widthPx)))
  return (
    <svg className="axis" width={widthPx} height="24" aria-hidden="true">
      {ratios.map((ratio, at) =>
        at % every === 0 ? (
          <text key={ratio} x={linearX(ratio, across, widthPx)} y="16" textAnchor="middle">
            {signedDb(ratio)}
          </text>
        ) : null,
      )}
    </svg>
  )
}

export function Legend({ picked }: { picked: readonly string[] }) {
  return (
    <ul className="legend row-title">
      {picked.map((method) => (
        <li key={method}>
          <MarkIcon methodId={method} />
          <Named method={method} among={picked} />
        </li>
      ))}
    </ul>
  )
}

/** Aimed methods among blind ones are marked as such: they were told the note. */
function Named({ method, among }: { method: string; among: readonly string[] }) {
  const told = isMixed(among) && familyOf(method) === 'aimed'
  return (
    <span>
      {method}
      {told && <span className="quiet">, aimed</span>}
    </span>
  )
}
