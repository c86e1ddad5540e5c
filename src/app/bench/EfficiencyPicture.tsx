/** One figure against the ratio, with whiskers: how many times the bound on a log scale, or cents on a symmetric-log one. */
import type { Figure } from '../../core/score/summary.ts'
import type { Cause } from './efficiency.ts'
import { hasInterval, signedDb } from './figures.ts'
import { linearX, ratioLimits, smallestStep } from './scales.ts'
import { Mark, slotOf } from './slots.tsx'

export interface Series {
  readonly method: string
  readonly points: readonly { readonly snrDb: number; readonly figure: Figure | null }[]
}

export interface EfficiencyProps {
  readonly kind: 'ratio' | 'offset'
  readonly series: readonly Series[]
  readonly ratios: readonly number[]
  readonly causes: readonly Cause[]
  readonly widthPx: number
  readonly heightPx: number
}

const leftPx = 46
const bottomPx = 24
const topPx = 10
/** Whiskers of several methods at one ratio stand beside each other. */
const apartPx = 7

export function EfficiencyPicture({ kind, series, ratios, causes, widthPx, heightPx }: EfficiencyProps) {
  const values = series.flatMap(({ points }) =>
    points.flatMap(({ figure }) =>
      figure === null ? [] : [figure.value, figure.low, figure.high].filter(Number.isFinite),
    ),
  )
  const scale = kind === 'ratio' ? logScale(values) : evenScale(values)
  const plotPx = heightPx - topPx - bottomPx
  const y = (value: number): number => topPx + plotPx * (1 - scale.share(value))
  const across = ratioLimits(ratios)
  const innerPx = widthPx - leftPx
  const slotPx = (smallestStep(ratios) / (across.high - across.low)) * innerPx
  const step = Math.min(apartPx, (0.7 * slotPx) / Math.max(1, series.length))
  const x = (snrDb: number, at: number): number =>
    leftPx + linearX(snrDb, across, innerPx) + (at - (series.length - 1) / 2) * step
  const neutralY = y(kind === 'ratio' ? 1 : 0)
  return (
    <svg
      width={widthPx}
      height={heightPx}
      role="img"
      aria-label={`${kind === 'ratio' ? 'Noise over bound' : 'Offset'}: the table has the figures`}
    >
      {kind === 'ratio' && (
        <rect x={leftPx} y={neutralY} width={innerPx} height={topPx + plotPx - neutralY} fill="url(#dots)" />
      )}
      {scale.ticks.map((tick) => (
        <g key={tick}>
          <line className="pair-grid" x1={leftPx} x2={widthPx} y1={y(tick)} y2={y(tick)} />
          <text x={leftPx - 8} y={y(tick) + 4.5} textAnchor="end">
            {kind === 'ratio' ? `\u00d7${tick}` : `${tick > 0 ? '+' : ''}${tick}`.replace('-', '\u2212')}
          </text>
        </g>
      ))}
      <line className="efficiency-neutral" x1={leftPx} x2={widthPx} y1={neutralY} y2={neutralY} />
      {kind === 'ratio' && (
        <text className="on-ground" x={widthPx - 3} y={neutralY - 5} textAnchor="end">
          bound
        </text>
      )}
      {ratios.map((ratio) => (
        <text key={ratio} x={leftPx + linearX(ratio, across, innerPx)} y={heightPx - 6} textAnchor="middle">
          {signedDb(ratio)}
        </text>
      ))}
      {series.map(({ method, points }, at) => {
        const slot = slotOf(method)
        const drawn = points.flatMap(({ snrDb, figure }) => (figure === null ? [] : [{ snrDb, figure }]))
        return (
          <g key={method}>
            <path
              fill="none"
              stroke={slot.colour}
              strokeWidth={1.5}
              strokeDasharray={slot.dash}
              d={drawn
                .map(({ snrDb, figure }, i) => `${i === 0 ? 'M' : 'L'}${x(snrDb, at)} ${y(figure.value)}`)
                .join('')}
            />
            {drawn.map(({ snrDb, figure }) => {
              const cause = causes.find(({ cells }) =>
                cells.some((cell) => cell.method === method && cell.snrDb === snrDb),
              )
              return (
                <g key={snrDb}>
                  {hasInterval(figure) && (
                    <path
                      className="hold-whisker"
                      stroke={slot.colour}
                      d={`M${x(snrDb, at)} ${y(figure.low)}V${y(figure.high)}M${x(snrDb, at) - 3} ${y(figure.low)}h6M${x(snrDb, at) - 3} ${y(figure.high)}h6`}
                    />
                  )}
                  <Mark slot={slot} x={x(snrDb, at)} y={y(figure.value)} radius={4.5} />
                  {cause !== undefined && (
                    <text className="on-ground" x={x(snrDb, at) + 8} y={y(figure.value) + 4.5}>
                      {cause.letter}
                    </text>
                  )}
                </g>
              )
            })}
          </g>
        )
      })}
    </svg>
  )
}

interface Scale {
  readonly ticks: readonly number[]
  /** 0 at the bottom, 1 at the top; clamped. */
  share(value: number): number
}

const within = (share: number): number => Math.min(1, Math.max(0, share))

/** From half the bound, or lower where a figure is, to whole steps above the highest. */
function logScale(values: readonly number[]): Scale {
  const steps = [0.01, 0.02, 0.05, 0.1, 0.2, 0.5, 1, 2, 5, 10, 20, 50, 100, 200, 500, 1000, 2000, 5000, 10000]
  const low = [...steps].reverse().find((step) => step <= Math.min(0.5, ...values)) ?? 0.01
  const high = steps.find((step) => step >= Math.max(5, ...values)) ?? 10000
  const inside = steps.filter((step) => step >= low && step <= high)
  // Two labels in each decade are enough from three decades on.
  const ticks = inside.length > 9 ? inside.filter((step) => Number.isInteger(Math.log10(step))) : inside
  return { ticks, share: (value) => within((Math.log(value) - Math.log(low)) / (Math.log(high) - Math.log(low))) }
}

/** Nearly even within this many cents, nearly logarithmic beyond, as the cents ruler is. */
const evenCents = 2

function evenScale(values: readonly number[]): Scale {
  const reach = [2, 5, 10, 20, 50].find((step) => values.every((value) => Math.abs(value) <= step)) ?? 50
  const bend = (cents: number): number =>
    (Math.sign(cents) * Math.log(1 + Math.abs(cents) / evenCents)) / Math.log(1 + reach / evenCents)
  const ticks = [1, 2, 5, 10, 20, 50].filter((tick) => tick <= reach && (tick === reach || tick !== 2))
  return {
    ticks: [...ticks.map((tick) => -tick).reverse(), 0, ...ticks],
    share: (cents) => within((1 + bend(cents)) / 2),
  }
}
