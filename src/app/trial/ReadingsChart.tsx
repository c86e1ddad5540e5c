/** Every method's readings over time on the upright cents ruler: the chosen one on top, at most five in colour. */
import { memo } from 'react'
import type { Truth } from '../../core/scene/scene.ts'
import type { ClaimSettings } from '../../core/score/score.ts'
import type { Track } from '../../core/study/trial.ts'
import { spread } from '../bench/scales.ts'
import { Mark, slotOf } from '../bench/slots.tsx'
import { type ClaimMark, claimMarks } from './claimLabels.ts'
import { type PlottedTrack, plotTrack } from './plottedTrack.ts'
import { type Frame, longestGapS, rulerTicks, timeTicks, xOf, yOf } from './ruler.ts'

export interface Margins {
  readonly left: number
  readonly right: number
}

export interface ReadingsChartProps {
  readonly tracks: readonly Track[]
  readonly truth: Truth
  /** false: the truth is that of a pluck which was taken away. */
  readonly stringSounds: boolean
  readonly sampleRateHz: number
  readonly settings: ClaimSettings
  readonly chosen: string
  /** Drawn in colour. */
  readonly coloured: readonly string[]
  readonly frame: Frame
  readonly margins: Margins
}

const topPx = 6
const stripPx = 14

/** Height of the whole picture for a plot of `heightPx`. */
const chartHeightPx = (heightPx: number): number => heightPx + 2 * topPx + stripPx

export const ReadingsChart = memo(function ReadingsChart(props: ReadingsChartProps) {
  const { tracks, truth, stringSounds, sampleRateHz, settings, chosen, coloured, frame, margins } = props
  const { widthPx, heightPx } = frame
  const order = [
    ...tracks.filter(({ method }) => !coloured.includes(method.id)),
    ...tracks.filter(({ method }) => coloured.includes(method.id) && method.id !== chosen),
    ...tracks.filter(({ method }) => method.id === chosen),
  ]
  const plotted = order.map((track) => ({
    id: track.method.id,
    plot: plotTrack(track.readings, frame, {
      sampleRateHz,
      settledHz: truth.settledHz,
      longestGapS: longestGapS(settings),
      phase: coloured.indexOf(track.method.id) / Math.max(1, coloured.length),
    }),
  }))
  const claims = claimMarks(
    [...order].reverse().filter(({ method }) => coloured.includes(method.id)),
    frame,
    sampleRateHz,
    truth.settledHz,
    settings,
  )
  const names: readonly Name[] = [
    ...plotted.flatMap(({ id, plot: { endY } }) =>
      endY === null || !coloured.includes(id)
        ? []
        : [{ text: id, y: endY, className: id === chosen ? 'name front' : 'name' }],
    ),
    { text: `${settings.tolCents} c bracket`, y: yOf(-settings.tolCents, frame), className: 'second' },
  ]
  const mine = plotted.find(({ id }) => id === chosen)?.plot
  return (
    <svg
      className="readings"
      width={widthPx + margins.left + margins.right}
      height={chartHeightPx(heightPx)}
      aria-hidden="true"
    >
      <g transform={`translate(${margins.left} ${topPx})`}>
        <Ruler frame={frame} tolCents={settings.tolCents} />
        {stringSounds && <Glide truth={truth} frame={frame} />}
        {plotted.map(({ id, plot }) =>
          coloured.includes(id) ? (
            <Line key={id} method={id} plot={plot} front={id === chosen} heightPx={heightPx} />
          ) : (
            <path key={id} className="track-grey" d={plot.path} />
          ),
        )}
        {[...claims].reverse().map((claim) => (
          <Hold key={claim.method} claim={claim} front={claim.method === chosen} />
        ))}
        {claims.map(
          ({ method, label }) =>
            label !== null && (
              <text
                key={method}
                className={method === chosen ? 'claim-words front' : 'claim-words'}
                x={label.x}
                y={label.y}
              >
                {label.text}
              </text>
            ),
        )}
        {margins.right > 60 && <Names names={names} frame={frame} />}
        <g className="declined" transform={`translate(0 ${heightPx + topPx})`}>
          {mine?.declined.map(({ x, width }) => (
            <rect key={x} x={x} width={Math.max(1.5, width - 0.5)} height={8} />
          ))}
        </g>
      </g>
    </svg>
  )
})

function Ruler({ frame, tolCents }: { frame: Frame; tolCents: number }) {
  const { widthPx, heightPx } = frame
  const silent = heightPx < 400 ? [1, 2] : [1]
  const arm = 7
  return (
    <>
      {timeTicks(frame).map((atS) => {
        const x = xOf(atS + frame.onsetS, frame)
        return <line key={atS} className={atS === 0 ? 'pluck' : 'grid'} x1={x} x2={x} y1={0} y2={heightPx} />
      })}
      {rulerTicks.map((cents) => {
        const y = yOf(cents, frame)
        return (
          <g key={cents}>
            <line className={cents === 0 ? 'truth' : 'grid'} x1={0} x2={widthPx} y1={y} y2={y} />
            {!silent.includes(Math.abs(cents)) && (
              <text x={-10} y={y + 4.5} textAnchor="end">
                {cents > 0 ? `+${cents}` : `${cents}`.replace('-', '−')}
              </text>
            )}
          </g>
        )
      })}
      {[tolCents, -tolCents].map((cents) => {
        const y = yOf(cents, frame)
        const inward = cents > 0 ? arm : -arm
        return (
          <g key={cents}>
            <line className="tolerance" x1={0} x2={widthPx} y1={y} y2={y} />
            <path className="bracket" d={`M0 ${y + inward}V${y}h${arm}M${widthPx} ${y + inward}V${y}h${-arm}`} />
          </g>
        )
      })}
    </>
  )
}

/** The string's own pitch where it still moves. */
function Glide({ truth, frame }: { truth: Truth; frame: Frame }) {
  const cents = truth.track.map(({ timeS, f0Hz }) => ({ timeS, cents: 1200 * Math.log2(f0Hz / truth.settledHz) }))
  if (!cents.some((row) => Math.abs(row.cents) > 0.1)) return null
  const points = cents.map((row) => `${xOf(row.timeS, frame).toFixed(1)} ${yOf(row.cents, frame).toFixed(1)}`)
  return <path className="glide" d={`M${points.join('L')}`} />
}

function Line(props: { method: string; plot: PlottedTrack; front: boolean; heightPx: number }) {
  const { method, plot, front, heightPx } = props
  const slot = slotOf(method)
  return (
    <g opacity={front ? 1 : 0.72}>
      {front &&
        plot.whiskers.map(({ x, top, bottom }) => (
          <path
            key={x}
            className="own-spread"
            stroke={slot.colour}
            d={`M${x - 3} ${top}h6M${x} ${top}V${bottom}m-3 0h6`}
          />
        ))}
      <path
        className="track"
        d={plot.path}
        stroke={slot.colour}
        strokeDasharray={slot.dash}
        strokeWidth={front ? 2 : 1.3}
      />
      {plot.marks.map(({ x, y }) => (
        <Mark key={x} slot={slot} x={x} y={y} radius={front ? 4.6 : 3.8} />
      ))}
      {plot.arrows.map(({ x, up }) => (
        <path
          key={x}
          className="off-scale"
          stroke={slot.colour}
          d={up ? `M${x - 4} 6l4-5 4 5M${x} 1v9` : `M${x - 4} ${heightPx - 6}l4 5 4-5M${x} ${heightPx - 1}v-9`}
        />
      ))}
    </g>
  )
}

function Hold({ claim, front }: { claim: ClaimMark; front: boolean }) {
  const { left, right, top, bottom, label } = claim
  const arm = 6
  return (
    <g className={front ? 'hold-mark front' : 'hold-mark'}>
      <path d={`M${left + arm} ${top}H${left}V${bottom}h${arm}M${right - arm} ${top}H${right}V${bottom}h${-arm}`} />
      {label !== null && (
        <line
          x1={Math.max(left, label.x) + 4}
          x2={Math.max(left, label.x) + 4}
          y1={label.above ? label.y + 5 : label.y - 14}
          y2={label.above ? Math.max(top, label.y + 5) : Math.min(bottom, label.y - 14)}
        />
      )}
    </g>
  )
}

interface Name {
  readonly text: string
  readonly y: number
  readonly className: string
}

function Names({ names, frame }: { names: readonly Name[]; frame: Frame }) {
  const at = spread(
    names.map(({ y }) => y),
    18,
    frame.heightPx,
  )
  return names.map(({ text, className }, i) => (
    <text key={text} className={className} x={frame.widthPx + 9} y={(at[i] ?? 0) + 4.5}>
      {text}
    </text>
  ))
}
