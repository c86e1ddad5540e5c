/** One column a figure, one row a string, a ring and a square: what a change does, at a glance. The tables hold the same. */
import { useWidth } from '../bench/size.ts'
import { axisOf } from './axis.ts'
import type { ShownFigure } from './figureList.ts'
import { MarkShape } from './Marks.tsx'
import { type StringPair, sidesOf } from './pairs.ts'
import { StringWord } from './StringWord.tsx'
import { told, written } from './sentences.ts'

const rowPx = 48
const axisPx = 24
/** Names of the strings, with their numbers. */
const namesPx = 62
const gapPx = 16
/** The label of a load with its distance from the mark: it keeps clear of the alarm's line. */
const labelPx = 42
/** Percent beyond the alarm that are always seen: the word has to fit. */
const alarmRoom = 28
/** A tick's label with air around it. */
const tickPx = 40

export function DotCharts({ pairs, figures }: { pairs: readonly StringPair[]; figures: readonly ShownFigure[] }) {
  const [place, widthPx] = useWidth<HTMLDivElement>()
  const columnPx = Math.floor((widthPx - namesPx) / figures.length - gapPx)
  return (
    <div className="dot-charts" ref={place}>
      <div className="dot-names" style={{ width: namesPx }}>
        {pairs.map((pair) => (
          <div key={pair.number} style={{ height: rowPx }}>
            <StringWord number={pair.number} name={pair.name} sides={sidesOf(pair)} />
          </div>
        ))}
      </div>
      {columnPx > 40 &&
        figures.map((figure) => (
          <figure key={figure.id} style={{ marginLeft: gapPx, width: columnPx }}>
            <figcaption>
              <strong>{figure.title}</strong>
              <span className="notes">{figure.note}</span>
            </figcaption>
            <DotChart pairs={pairs} figure={figure} widthPx={columnPx} />
          </figure>
        ))}
    </div>
  )
}

function DotChart({ pairs, figure, widthPx }: { pairs: readonly StringPair[]; figure: ShownFigure; widthPx: number }) {
  const marks = pairs.flatMap((pair, row) =>
    sidesOf(pair).map(({ side, string }, at, sides) => ({
      row,
      side,
      reckoning: figure.read(string),
      // Two marks of a row stand above each other, so that equal figures do not hide each other.
      y: row * rowPx + rowPx / 2 + (sides.length === 1 ? 0 : at === 0 ? -9.5 : 9.5),
    })),
  )
  const { alarmFrom } = figure
  const known = marks.filter(({ reckoning }) => Number.isFinite(reckoning.value))
  const axis = axisOf(
    known.map(({ reckoning }) => reckoning.value),
    Math.max(2, Math.floor(widthPx / tickPx)),
    alarmFrom === undefined || known.length === 0 ? [] : [0, alarmFrom + alarmRoom],
  )
  const x = (value: number): number => ((value - axis.low) / (axis.high - axis.low)) * widthPx
  const heightPx = pairs.length * rowPx
  const alarmX = alarmFrom === undefined || known.length === 0 ? null : x(alarmFrom)
  return (
    <svg
      width={widthPx}
      height={heightPx + axisPx}
      role="img"
      aria-label={`${figure.title}: the table has the figures`}
    >
      <defs>
        <pattern id="instr-hatch" width="7" height="7" patternUnits="userSpaceOnUse" patternTransform="rotate(45)">
          <path d="M0 0V7" stroke="var(--quiet)" strokeWidth="1" opacity="0.7" />
        </pattern>
      </defs>
      {axis.ticks.map((tick) => (
        <g key={tick}>
          <path d={`M${x(tick)} 0V${heightPx}`} stroke="var(--hairline)" />
          <text className="dot-tick" x={x(tick)} y={heightPx + 17} textAnchor="middle">
            {written(tick, placesOf(tick))}
          </text>
        </g>
      ))}
      {pairs.map(({ number }, row) => (
        <path key={number} d={`M0 ${row * rowPx + 0.5}H${widthPx}`} stroke="var(--hairline)" />
      ))}
      {alarmX !== null && (
        <>
          <rect x={alarmX} y={0} width={widthPx - alarmX} height={heightPx} fill="url(#instr-hatch)" />
          <path d={`M${alarmX} 0V${heightPx}`} stroke="var(--text-1)" strokeWidth={1.6} />
          <text className="dot-word" x={alarmX + 4} y={13}>
            alarm
          </text>
        </>
      )}
      {pairs.map(({ number }, row) => {
        const [a, b] = known.filter((mark) => mark.row === row)
        return a === undefined || b === undefined ? null : (
          <path
            key={number}
            d={`M${x(a.reckoning.value)} ${a.y}L${x(b.reckoning.value)} ${b.y}`}
            stroke="var(--text-2)"
            strokeWidth={1.5}
          />
        )
      })}
      {marks.map(({ row, side, reckoning, y }) => {
        const { value } = reckoning
        if (!Number.isFinite(value))
          return (
            <text key={`${row} ${side}`} className="dot-none" x={4} y={y + 4.5}>
              not known
            </text>
          )
        const alarmed = alarmFrom !== undefined && value >= alarmFrom
        const crosses = alarmX !== null && !alarmed && x(value) + labelPx > alarmX
        const left = crosses || x(value) > 0.58 * widthPx
        return (
          <g key={`${row} ${side}`}>
            <MarkShape side={side} x={x(value)} y={y} />
            {alarmed && <path className="dot-bracket" d={bracketAround(x(value), y)} />}
            <text
              className="dot-value"
              x={x(value) + (left ? -1 : 1) * (alarmed ? 16 : 10)}
              y={y + 4.5}
              textAnchor={left ? 'end' : 'start'}
            >
              {told(reckoning, figure.places)}
              {alarmed ? ' alarm' : ''}
            </text>
          </g>
        )
      })}
    </svg>
  )
}

const placesOf = (tick: number): number =>
  Number.isInteger(tick) ? 0 : Number.isInteger(Number((10 * tick).toFixed(6))) ? 1 : 2

const bracketAround = (x: number, y: number): string => `M${x - 7} ${y - 9}h-4v18h4M${x + 7} ${y - 9}h4v18h-4`
