/**
 * Paired differences as marks on one ruler, 0 in the middle: left of it the other method is the closer or sooner one. The
 * scale is symmetric-logarithmic, even near 0; the table holds the same figures in the same order.
 */
import type { PairedDifference, PairedFigure } from '../../core/score/paired.ts'
import { fewestForInterval } from './columns.ts'
import { differenceWords, verdictWords, withoutWords } from './pairedWords.ts'
import { useWidth } from './size.ts'
import { Mark, MarkIcon, slotOf } from './slots.tsx'

export interface PairedProps {
  readonly differences: readonly PairedDifference[]
  readonly reference: string
  readonly figure: PairedFigure
  readonly heardS: number
}

const rowPx = 52
const axisPx = 24
/** The last tick's number must be whole. */
const insetPx = 18

interface Ruler {
  readonly limit: number
  /** Below this the scale is nearly even. */
  readonly even: number
  readonly ticks: readonly number[]
}

function rulerOf(figure: PairedFigure, heardS: number): Ruler {
  if (figure === 'error') return { limit: 50, even: 2, ticks: [1, 5, 20, 50] }
  return { limit: heardS, even: 0.1, ticks: [0.1, 0.5, 1, 2].filter((tick) => tick <= heardS) }
}

function xOn({ limit, even }: Ruler, value: number, widthPx: number): number {
  const share = (Math.sign(value) * Math.log(1 + Math.abs(value) / even)) / Math.log(1 + limit / even)
  return widthPx / 2 + Math.max(-1, Math.min(1, share)) * (widthPx / 2 - insetPx)
}

/** Few pairs carry no interval, as everywhere on the bench. */
const trusted = (one: PairedDifference): PairedDifference =>
  one.difference.n >= fewestForInterval
    ? one
    : { ...one, difference: { ...one.difference, low: Number.NaN, high: Number.NaN } }

export function PairedRows({ differences, reference, figure, heardS }: PairedProps) {
  const [element, widthPx] = useWidth<HTMLDivElement>()
  const ruler = rulerOf(figure, heardS)
  const at = (value: number): number => xOn(ruler, value, widthPx)
  const ticks = [...ruler.ticks.map((tick) => -tick).reverse(), 0, ...ruler.ticks]
  return (
    <div className="pair-rows">
      {differences.map(trusted).map((one, row) => (
        <div key={one.method} className="pair-row">
          <span className="with-mark pair-name">
            <MarkIcon methodId={one.method} /> {one.method}
          </span>
          <div className="pair-place" ref={row === 0 ? element : undefined}>
            {widthPx > 0 && (
              <svg width={widthPx} height={rowPx} aria-hidden="true">
                {ticks.map((tick) => (
                  <line
                    key={tick}
                    className={tick === 0 ? 'pair-zero' : 'pair-grid'}
                    x1={at(tick)}
                    x2={at(tick)}
                    y2={rowPx}
                  />
                ))}
                {one.difference.n > 0 && (
                  <>
                    {Number.isFinite(one.difference.low) && (
                      <path
                        className="hold-whisker"
                        stroke={slotOf(one.method).colour}
                        d={`M${at(one.difference.low)} ${rowPx / 2}H${at(one.difference.high)}M${at(one.difference.low)} ${rowPx / 2 - 5}v10M${at(one.difference.high)} ${rowPx / 2 - 5}v10`}
                      />
                    )}
                    <Mark slot={slotOf(one.method)} x={at(one.difference.value)} y={rowPx / 2} />
                  </>
                )}
              </svg>
            )}
          </div>
          <p className="pair-words">
            <strong>{differenceWords(one, figure)}</strong>, n {one.difference.n}
            <span className="notes">
              {[verdictWords(one, figure), withoutWords(one, reference, figure)].filter(Boolean).join('; ')}
            </span>
          </p>
        </div>
      ))}
      <div className="pair-row pair-axis" aria-hidden="true">
        <span />
        <svg width={widthPx} height={axisPx} aria-hidden="true">
          {ticks.map((tick) => (
            <text key={tick} x={at(tick)} y="15" textAnchor="middle">
              {tick === 0 ? '0' : `${tick > 0 ? '+' : '\u2212'}${Math.abs(tick)}`}
            </text>
          ))}
        </svg>
        <span className="notes">
          {figure === 'error' ? 'c; left: closer than ' : 's; left: sooner than '}
          {reference}
        </span>
      </div>
    </div>
  )
}

export function PairedTable({ differences, reference, figure }: PairedProps) {
  return (
    // biome-ignore lint/a11y/noNoninteractiveTabindex: a part that scrolls sideways must be reachable by keys
    <section className="table-place" aria-label={`Differences to ${reference}`} tabIndex={0}>
      <table>
        <thead>
          <tr>
            <th scope="col">method</th>
            <th scope="col">median difference (95 %)</th>
            <th scope="col">n</th>
            <th scope="col">verdict</th>
            <th scope="col">{figure === 'error' ? 'closer' : 'sooner'} in</th>
            <th scope="col">{figure === 'error' ? 'further off' : 'later'} in</th>
            <th scope="col">equal in</th>
            <th scope="col">{figure === 'error' ? 'left out' : 'counted as the end'}</th>
          </tr>
        </thead>
        <tbody>
          {differences.map(trusted).map((one) => (
            <tr key={one.method}>
              <th scope="row">
                <MarkIcon methodId={one.method} />
                <span>{one.method}</span>
              </th>
              <td>{differenceWords(one, figure)}</td>
              <td>{one.difference.n}</td>
              <td>{verdictWords(one, figure)}</td>
              <td>{one.lower}</td>
              <td>{one.higher}</td>
              <td>{one.equal}</td>
              <td>{withoutWords(one, reference, figure) || 'none'}</td>
            </tr>
          ))}
        </tbody>
      </table>
    </section>
  )
}
