/**
 * What became of a method's trials at each ratio, as parts of a box: true claims filled, false ones crossed with an edge,
 * no claim hollow. One row a picked method, in the order of the lines' labels.
 */
import type { Cell } from '../../core/score/summary.ts'
import type { Point } from '../store.ts'
import type { Plot } from './plot.ts'
import { linearX, ratioLimits, smallestStep } from './scales.ts'

export const claimRowPx = 21
/** Air above the first row, as charts.css has it. */
export const claimTopPx = 8
const boxPx = 15
/** A single false claim in many must still be seen. */
const leastFalsePx = 4
/** Wider boxes say no more. */
const widestPx = 72

export function ClaimBars(props: { plot: Plot; picked: readonly string[]; point: Point | null; widthPx: number }) {
  const { plot, picked, point, widthPx } = props
  const ratios = plot.rows.map((row) => row.snrDb)
  const across = ratioLimits(ratios)
  const stepPx = (smallestStep(ratios) / (across.high - across.low)) * widthPx
  const width = Math.min(widestPx, Math.max(8, stepPx - 3))
  return (
    <svg className="claims" width={widthPx} height={picked.length * claimRowPx} aria-hidden="true">
      {picked.flatMap((method, at) =>
        plot.rows.map((row) => (
          <g
            key={`${method} ${row.snrDb}`}
            transform={`translate(${linearX(row.snrDb, across, widthPx) - width / 2} ${at * claimRowPx + 3})`}
          >
            <ClaimBox cell={row.cells[method]} width={width} />
            {point !== null &&
              point.method === method &&
              point.snrDb === row.snrDb &&
              point.string === plot.column.string &&
              point.room === plot.column.room && (
                <path className="bracket" d={`M3-3h-5v${boxPx + 6}h5M${width - 3}-3h5v${boxPx + 6}h-5`} />
              )}
          </g>
        )),
      )}
    </svg>
  )
}

function ClaimBox({ cell, width }: { cell: Cell | undefined; width: number }) {
  if (cell === undefined || cell.n === 0) return <rect width={width} height={boxPx} fill="url(#hatch)" />
  const share = (figure: { value: number } | null): number => figure?.value ?? 0
  const wrong = share(cell.falseRoomRate) + share(cell.falseStructuralRate)
  const wrongPx = wrong === 0 ? 0 : Math.max(leastFalsePx, wrong * width)
  const truePx = Math.min(width - wrongPx, share(cell.trueRate) * width)
  return (
    <>
      <rect className="claim-none" x={0.5} y={0.5} width={width - 1} height={boxPx - 1} />
      {truePx > 0 && <rect className="claim-true" width={truePx} height={boxPx} />}
      {wrongPx > 0 && (
        <rect
          className="claim-false"
          x={truePx + 0.6}
          y={0.6}
          width={wrongPx - 1.2}
          height={boxPx - 1.2}
          fill="url(#crosses)"
        />
      )}
    </>
  )
}

/** The three kinds, named. */
export function ClaimKey() {
  return (
    <ul className="claim-key">
      {(['true', 'false', 'no claim'] as const).map((kind) => (
        <li key={kind}>
          <svg width="12" height="12" aria-hidden="true">
            {kind === 'true' && <rect className="claim-true" width="12" height="12" />}
            {kind === 'false' && (
              <rect className="claim-false" x=".6" y=".6" width="10.8" height="10.8" fill="url(#crosses)" />
            )}
            {kind === 'no claim' && <rect className="claim-none" x=".5" y=".5" width="11" height="11" />}
          </svg>
          {kind}
        </li>
      ))}
    </ul>
  )
}

/** Patterns that every picture refers to; drawn once a page. */
export function Patterns() {
  return (
    <svg width="0" height="0" className="patterns" aria-hidden="true">
      <defs>
        <pattern id="dots" width="5" height="5" patternUnits="userSpaceOnUse">
          <rect x="1" y="1" width="1.1" height="1.1" fill="#6B727C" />
        </pattern>
        <pattern id="hatch" width="7" height="7" patternUnits="userSpaceOnUse" patternTransform="rotate(45)">
          <rect width="1" height="7" fill="#6B727C" fillOpacity=".34" />
        </pattern>
        <pattern id="crosses" width="5" height="5" patternUnits="userSpaceOnUse">
          <rect width="5" height="5" fill="#0D0F12" />
          <path d="M0 0 5 5M5 0 0 5" stroke="#F1EDE4" strokeWidth="1" />
        </pattern>
      </defs>
    </svg>
  )
}
