/**
 * The small multiples: a column a room, rows for error, first steady moment and claims. Axes are shared and drawn once, at
 * the left; lines are named at the last column. A click picks the nearest point, arrows move it.
 */
import type { KeyboardEvent, MouseEvent } from 'react'
import { useBench } from '../store.ts'
import { Axis, ClaimRows, Legend, LineNames, LockAxis, RatioAxis } from './axes.tsx'
import { ClaimBars, ClaimKey } from './ClaimBars.tsx'
import type { Column } from './columns.ts'
import { familyOf, isMixed } from './families.ts'
import { LateStrip } from './LateStrip.tsx'
import { hatchesOf, LogPicture } from './LogPicture.tsx'
import { nearest, type Row } from './nearest.ts'
import { figureOf, type Plot, type PlotRow } from './plot.ts'
import { errorLimits, errorTicks, heightsIn, timeLimits, timeTicks } from './scales.ts'
import { useWidth, useWindowHeight } from './size.ts'

export interface ChartsProps {
  readonly plots: readonly Plot[]
  readonly methods: readonly string[]
  readonly picked: readonly string[]
  readonly banded: readonly string[]
  readonly tolCents: number
  readonly holdS: number
  /** Longest time after the pluck, s. */
  readonly longestS: number
  readonly narrow: boolean
  onKey(event: KeyboardEvent): void
  onOpen(): void
}

const gapPx = 9
/** A picture narrower than this cannot hold seven ratios apart. */
const narrowestPx = 150

export function Charts(props: ChartsProps) {
  const { plots, methods, picked, banded, tolCents, holdS, longestS, narrow, onKey, onOpen } = props
  const { point, column: firstShown } = useBench((state) => state.shown)
  const { show, select } = useBench.getState()
  const [element, widthPx] = useWidth<HTMLDivElement>()
  const heights = heightsIn(useWindowHeight())
  const { errorPx, timePx } = heights
  const axisPx = narrow ? 40 : 58
  // 7.4 px a letter at 13 px in the widest usual system font, 24 px for the mark; "under half lock" needs 112.
  const told = (id: string): string => (isMixed(picked) && familyOf(id) === 'aimed' ? `${id}, aimed` : id)
  // A name longer than 30 letters, of a chain, is cut short there: the tables have it whole.
  const longestPx = Math.max(112, ...picked.map((id) => Math.ceil(told(id).length * 7.4) + 24))
  const labelsPx = narrow ? 0 : Math.min(246, longestPx)
  const free = Math.max(0, widthPx - axisPx - labelsPx - (narrow ? gapPx : 2 * gapPx))
  const fitting = narrow ? 1 : Math.max(1, Math.floor((free + gapPx) / (narrowestPx + gapPx)))
  const from = Math.min(firstShown, Math.max(0, plots.length - fitting))
  const drawn = fitting >= plots.length ? plots : plots.slice(from, from + fitting)
  const columnPx = Math.floor((free - gapPx * (drawn.length - 1)) / Math.max(1, drawn.length))
  const limits = errorLimits(plots.flatMap((plot) => plot.rows.flatMap((row) => drawnErrors(row, methods))))
  const times = timeLimits(
    plots.flatMap((plot) =>
      plot.rows.flatMap((row) => methods.flatMap((id) => figureOf(row, id, 'firstSteadyS')?.value ?? [])),
    ),
    longestS,
  )
  const last = drawn.at(-1)

  const pickNearest = (event: MouseEvent): void => {
    const picture = (event.target as Element).closest<HTMLElement>('[data-row]')
    const plot = drawn[Number(picture?.dataset.column)]
    if (picture === null || plot === undefined) return
    const box = picture.getBoundingClientRect()
    const found = nearest(plot, picture.dataset.row as Row, event.clientX - box.left, event.clientY - box.top, {
      widthPx: columnPx,
      heights,
      limits,
      times,
      picked,
      methods,
    })
    if (found !== null) select({ string: plot.column.string, room: plot.column.room, ...found })
  }

  return (
    <div ref={element} className="charts-place">
      {fitting < plots.length && (
        <ColumnStrip
          columns={plots.map((plot) => plot.column)}
          from={from}
          count={drawn.length}
          onShow={(column) => show({ column })}
        />
      )}
      {widthPx > 0 && last !== undefined && (
        <div
          className="charts"
          role="application"
          aria-label="Charts. Arrow keys move the chosen point, Enter opens its trial. The table holds the same figures."
          aria-describedby="point-sentence"
          // biome-ignore lint/a11y/noNoninteractiveTabindex: the charts are one control that arrow keys move in
          tabIndex={0}
          onClick={pickNearest}
          onDoubleClick={onOpen}
          onKeyDown={onKey}
          style={{
            gridTemplateColumns: `${axisPx}px repeat(${drawn.length}, ${columnPx}px)${narrow ? '' : ` ${labelsPx}px`}`,
          }}
        >
          {narrow && <Legend picked={picked} />}
          {!narrow && <span />}
          {drawn.map((plot) => (
            <h2
              key={plot.column.string + plot.column.room}
              className={narrow ? 'column-title row-title' : 'column-title'}
            >
              <span className="column-name">{narrow ? 'Error, c' : plot.column.title}</span>
              <Missing plot={plot} narrow={narrow} />
            </h2>
          ))}
          {!narrow && <span />}

          <Axis
            widthPx={axisPx}
            heightPx={errorPx}
            limits={limits}
            ticks={errorTicks(limits)}
            name={narrow ? null : 'error, c'}
            tolerance={tolCents}
          />
          {drawn.map((plot, at) => (
            <div key={plot.column.string + plot.column.room} data-row="error" data-column={at}>
              <LogPicture
                plot={plot}
                quantity="medianAbsCents"
                limits={limits}
                ticks={errorTicks(limits)}
                methods={methods}
                picked={picked}
                banded={banded}
                point={point}
                widthPx={columnPx}
                heightPx={errorPx}
                tolerance={tolCents}
                nameBound={at === drawn.findIndex((one) => one.asIfGaussian === plot.asIfGaussian)}
              />
            </div>
          ))}
          {!narrow && <LineNames plot={last} limits={limits} picked={picked} heightPx={errorPx} />}

          {narrow && (
            <h2 className="column-title row-title">
              First steady, s <span className="notes">lock is {holdS} s later</span>
            </h2>
          )}

          <span />
          {drawn.map((plot, _at) => (
            <LateStrip
              key={plot.column.string + plot.column.room}
              plot={plot}
              picked={picked}
              widthPx={columnPx}
              named={narrow}
            />
          ))}
          {!narrow && <span className="axis-note">under half lock</span>}

          <Axis
            widthPx={axisPx}
            heightPx={timePx}
            limits={times}
            ticks={timeTicks(times)}
            name={narrow ? null : 'first steady, s'}
          />
          {drawn.map((plot, at) => (
            <div key={plot.column.string + plot.column.room} data-row="time" data-column={at}>
              <LogPicture
                plot={plot}
                quantity="firstSteadyS"
                limits={times}
                ticks={timeTicks(times)}
                methods={methods}
                picked={picked}
                banded={banded}
                point={point}
                widthPx={columnPx}
                heightPx={timePx}
              />
            </div>
          ))}
          {!narrow && <LockAxis holdS={holdS} limits={times} heightPx={timePx} />}

          {narrow && (
            <div className="column-title row-title">
              <h2>Claims</h2>
              <ClaimKey />
            </div>
          )}

          <ClaimRows picked={picked} />
          {drawn.map((plot, at) => (
            <div key={plot.column.string + plot.column.room} data-row="claims" data-column={at}>
              <ClaimBars plot={plot} picked={picked} point={point} widthPx={columnPx} />
            </div>
          ))}
          {!narrow && <ClaimKey />}

          <span />
          {drawn.map((plot) => (
            <RatioAxis key={plot.column.string + plot.column.room} plot={plot} widthPx={columnPx} />
          ))}
          {!narrow && <span className="axis-note">dB, string over room</span>}
        </div>
      )}
      {narrow && <p className="notes under-axis">dB, string over room in the first second</p>}
    </div>
  )
}

const drawnErrors = (row: PlotRow, methods: readonly string[]): number[] => [
  ...methods.flatMap((method) => figureOf(row, method, 'medianAbsCents')?.value ?? []),
  ...(row.boundCents === null ? [] : [row.boundCents]),
]

/** Trials of the emptiest cell, and how many more it needs when the column is hatched. */
function Missing({ plot, narrow }: { plot: Plot; narrow: boolean }) {
  const most = Math.max(0, ...hatchesOf(plot).map(({ missing }) => missing))
  const fewest = Math.min(...plot.rows.map((row) => row.n))
  if (fewest === 0) return null
  const more = most === 0 ? (narrow ? 'median and 95 %' : '') : `${most} more`
  return (
    <span className="notes">
      n&nbsp;{fewest}
      {more === '' ? '' : `, ${more}`}
    </span>
  )
}

export function ColumnStrip(props: {
  columns: readonly Column[]
  from: number
  count: number
  onShow(column: number): void
}) {
  return (
    <nav className="column-strip" aria-label="Column shown">
      {props.columns.map((column, at) => (
        <button
          key={column.string + column.room}
          type="button"
          className={at >= props.from && at < props.from + props.count ? 'bracketed' : ''}
          aria-pressed={at >= props.from && at < props.from + props.count}
          onClick={() => props.onShow(at)}
        >
          {column.title}
        </button>
      ))}
    </nav>
  )
}
