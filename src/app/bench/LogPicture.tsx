/**
 * One room's picture of one quantity against the ratio, on a log axis: lines of the picked methods in their colours, the
 * others thin and grey, the bound over dotted ground, bands for at most two methods, hatch where trials are missing.
 */
import { Area, ComposedChart, Line, XAxis, YAxis } from 'recharts'
import type { Point } from '../store.ts'
import { boundOf, figureOf, intervalOf, type Plot, type Quantity } from './plot.ts'
import { clamp, type Limits, linearX, logY, ratioLimits, rimPx, smallestStep } from './scales.ts'
import { Mark, slotOf } from './slots.tsx'

export interface LogPictureProps {
  readonly plot: Plot
  readonly quantity: Quantity
  readonly limits: Limits
  readonly ticks: readonly number[]
  readonly methods: readonly string[]
  readonly picked: readonly string[]
  readonly banded: readonly string[]
  readonly point: Point | null
  readonly widthPx: number
  readonly heightPx: number
  /** A line across with brackets at its ends: the tolerance. */
  readonly tolerance?: number
  readonly nameBound?: boolean
}

export function LogPicture(props: LogPictureProps) {
  const { plot, quantity, limits, methods, picked, banded, widthPx, heightPx } = props
  const ratios = plot.rows.map((row) => row.snrDb)
  const across = ratioLimits(ratios)
  const rows = plot.rows.map((row) => {
    const values: Record<string, number | [number, number] | null> = { snrDb: row.snrDb }
    for (const method of methods) {
      const figure = figureOf(row, method, quantity)
      values[method] = figure === null ? null : clamp(figure.value, limits)
      const interval = intervalOf(row, method, quantity)
      values[`${method} band`] = interval === null ? null : [clamp(interval[0], limits), clamp(interval[1], limits)]
    }
    return values
  })
  const grey = methods.filter((method) => !picked.includes(method))
  const shared = { type: 'linear', isAnimationActive: false, connectNulls: false, activeDot: false } as const
  return (
    <div className="picture" style={{ width: widthPx, height: heightPx }}>
      <Ground {...props} />
      <ComposedChart
        accessibilityLayer={false}
        width={widthPx}
        height={heightPx}
        data={rows}
        margin={{ top: rimPx, bottom: rimPx, left: 0, right: 0 }}
      >
        <XAxis dataKey="snrDb" type="number" domain={[across.low, across.high]} hide />
        <YAxis scale="log" domain={[limits.low, limits.high]} allowDataOverflow hide />
        {banded
          .filter((method) => picked.includes(method))
          .map((method) => (
            <Area
              key={method}
              {...shared}
              dataKey={`${method} band`}
              stroke="none"
              fill={slotOf(method).colour}
              fillOpacity={0.15}
            />
          ))}
        {grey.map((method) => (
          <Line key={method} {...shared} dataKey={method} stroke="#6B727C" strokeWidth={1} dot={false} />
        ))}
        {[...picked].reverse().map((method) => (
          <Line
            key={method}
            {...shared}
            dataKey={method}
            stroke={slotOf(method).colour}
            strokeWidth={2}
            strokeDasharray={slotOf(method).dash ?? ''}
            strokeLinecap={slotOf(method).dash?.startsWith('1.5') ? 'round' : 'butt'}
            dot={false}
          />
        ))}
      </ComposedChart>
      <Marks {...props} />
    </div>
  )
}

/** Under the lines: grid, dotted ground, bound, tolerance. */
function Ground({ plot, quantity, limits, ticks, widthPx, heightPx, tolerance, nameBound }: LogPictureProps) {
  const across = ratioLimits(plot.rows.map((row) => row.snrDb))
  const bounds = plot.rows.flatMap((row) => {
    const bound = boundOf(row, quantity)
    return bound === null ? [] : [{ x: linearX(row.snrDb, across, widthPx), y: logY(bound, limits, heightPx) }]
  })
  // The bound is drawn over the whole width of its column: the end values reach to the edges.
  const line = bounds.length === 0 ? [] : [{ ...bounds[0], x: 0 }, ...bounds, { ...bounds.at(-1), x: widthPx }]
  const path = line.map(({ x, y }, at) => `${at === 0 ? 'M' : 'L'}${x} ${y}`).join('')
  const toleranceY = tolerance === undefined ? 0 : logY(tolerance, limits, heightPx)
  return (
    <svg className="layer" width={widthPx} height={heightPx} aria-hidden="true">
      {ticks.map((tick) => (
        <line
          key={tick}
          className="grid"
          x2={widthPx}
          y1={logY(tick, limits, heightPx)}
          y2={logY(tick, limits, heightPx)}
        />
      ))}
      {path !== '' && (
        <>
          <path d={`${path}V${heightPx - rimPx}H0Z`} fill="url(#dots)" />
          <path className="bound" d={path} />
          {nameBound && (
            <text
              className="on-ground"
              x={widthPx - 3}
              y={Math.min(heightPx - 10, (line.at(-1)?.y ?? 0) + 15)}
              textAnchor="end"
            >
              {plot.asIfGaussian ? 'bound, if Gaussian' : 'bound'}
            </text>
          )}
        </>
      )}
      {tolerance !== undefined && (
        <>
          <line className="tolerance" x2={widthPx} y1={toleranceY} y2={toleranceY} />
          <path className="tolerance-end" d={`M.8 ${toleranceY - 5}v10M${widthPx - 0.8} ${toleranceY - 5}v10`} />
        </>
      )}
    </svg>
  )
}

/** Over the lines: hatch, marks, the chosen point's whisker and bracket. */
function Marks({ plot, quantity, limits, picked, point, widthPx, heightPx }: LogPictureProps) {
  const ratios = plot.rows.map((row) => row.snrDb)
  const across = ratioLimits(ratios)
  const slotPx = (smallestStep(ratios) / (across.high - across.low)) * widthPx
  const radius = slotPx < 20 ? 4 : 5
  const here = point !== null && point.string === plot.column.string && point.room === plot.column.room ? point : null
  const chosenRow = plot.rows.find((row) => row.snrDb === here?.snrDb)
  const chosen = here === null || chosenRow === undefined ? null : figureOf(chosenRow, here.method, quantity)
  const chosenInterval = here === null || chosenRow === undefined ? null : intervalOf(chosenRow, here.method, quantity)
  const chosenX = here === null ? 0 : linearX(here.snrDb, across, widthPx)
  return (
    <svg className="layer" width={widthPx} height={heightPx} aria-hidden="true">
      {hatchesOf(plot).map(({ from, to }) => {
        const left = Math.max(0, linearX(ratios[from] as number, across, widthPx) - slotPx / 2)
        const right = Math.min(widthPx, linearX(ratios[to] as number, across, widthPx) + slotPx / 2)
        return <rect key={from} x={left} y={0} width={right - left} height={heightPx} fill="url(#hatch)" />
      })}
      {here !== null && chosenInterval !== null && (
        <path
          d={whisker(chosenX, logY(chosenInterval[0], limits, heightPx), logY(chosenInterval[1], limits, heightPx))}
          stroke={slotOf(here.method).colour}
          strokeWidth={2}
        />
      )}
      {[...picked].reverse().flatMap((method) =>
        plot.rows.flatMap((row) => {
          const figure = figureOf(row, method, quantity)
          if (figure === null) return []
          return [
            <Mark
              key={`${method} ${row.snrDb}`}
              slot={slotOf(method)}
              x={linearX(row.snrDb, across, widthPx)}
              y={logY(figure.value, limits, heightPx)}
              radius={radius}
            />,
          ]
        }),
      )}
      {picked.flatMap((method) =>
        plot.rows.map((row) => {
          const figure = figureOf(row, method, quantity)
          if (figure === null || (figure.value <= limits.high && figure.value >= limits.low)) return null
          const way = figure.value > limits.high ? -1 : 1
          const x = linearX(row.snrDb, across, widthPx)
          const y = logY(figure.value, limits, heightPx) + way * 8
          return (
            <path key={`${method} ${row.snrDb}`} className="beyond" d={`M${x - 4} ${y}l4 ${4 * way} 4 ${-4 * way}`} />
          )
        }),
      )}
      {chosen !== null && <path className="bracket" d={bracket(chosenX, logY(chosen.value, limits, heightPx), 11)} />}
    </svg>
  )
}

/** Neighbouring ratios that lack the same number of trials, as one area each. */
export function hatchesOf(plot: Plot): readonly { from: number; to: number; missing: number }[] {
  const areas: { from: number; to: number; missing: number }[] = []
  plot.rows.forEach(({ missing }, at) => {
    const last = areas.at(-1)
    if (missing === 0) return
    if (last !== undefined && last.missing === missing && last.to === at - 1) last.to = at
    else areas.push({ from: at, to: at, missing })
  })
  return areas
}

const whisker = (x: number, lowY: number, highY: number): string =>
  `M${x} ${lowY}V${highY}M${x - 4} ${lowY}h8M${x - 4} ${highY}h8`

/** The motif around a point: arms of 7 px. */
export function bracket(x: number, y: number, half: number): string {
  const arm = Math.min(7, half - 3)
  return `M${x - half + arm} ${y - half}h${-arm}v${2 * half}h${arm}M${x + half - arm} ${y - half}h${arm}v${2 * half}h${-arm}`
}
