/** The mix as grey over time and frequency: the string's partials ticked at both edges, the room's strongest tone named. */
import { memo, useEffect, useRef } from 'react'
import type { HeardTone } from './examine.ts'
import type { PartialRatio } from './facts.ts'
import type { Margins } from './ReadingsChart.tsx'
import { type Frame, timeTicks, xOf } from './ruler.ts'
import { placeWords } from './sentence.ts'
import type { Spectrogram } from './spectrogram.ts'

export interface SpectrumPictureProps {
  readonly spectrogram: Spectrogram
  readonly partials: readonly PartialRatio[]
  readonly tone: HeardTone | null
  /** Whether a string sounds: its partials are ticked only then. */
  readonly stringSounds: boolean
  readonly frame: Frame
  readonly margins: Margins
}

/** Ink and paper: the ends of the ramp are the page's own ground and first text colour. */
const ink = [13, 15, 18] as const
const paper = [241, 237, 228] as const
const axisPx = 24
const topPx = 6

const spectrumHeightPx = (heightPx: number): number => heightPx + topPx + axisPx

export const SpectrumPicture = memo(function SpectrumPicture(props: SpectrumPictureProps) {
  const { spectrogram, partials, tone, stringSounds, frame, margins } = props
  const { widthPx, heightPx } = frame
  const { topHz } = spectrogram
  const y = (hz: number): number => heightPx * (1 - hz / topHz)
  const label = tone === null || tone.hz >= topHz ? null : tone
  const step = [100, 200, 500, 1000, 2000].find((one) => topHz / one <= 4.5) ?? 5000
  const hertzTicks = Array.from({ length: Math.floor(topHz / step) + 1 }, (_, i) => i * step)
  const wide = margins.right > 60
  return (
    <div className="spectrum" aria-hidden="true" style={{ height: spectrumHeightPx(heightPx) }}>
      <Levels spectrogram={spectrogram} left={margins.left} widthPx={widthPx} heightPx={heightPx} />
      <svg width={widthPx + margins.left + margins.right} height={spectrumHeightPx(heightPx)} aria-hidden="true">
        <g transform={`translate(${margins.left} ${topPx})`}>
          {hertzTicks.map((hz) => (
            <text key={hz} x={-10} y={Math.max(10, y(hz) + 4.5)} textAnchor="end">
              {wide && hz === hertzTicks.at(-1) ? `${hz} Hz` : hz}
            </text>
          ))}
          {timeTicks(frame).map((atS, at, all) => {
            const x = xOf(atS + frame.onsetS, frame)
            const words = `${Number(atS.toFixed(1))}`.replace('-', '−')
            const last = at === all.length - 1
            return (
              <g key={atS}>
                <line className="tick" x1={x} x2={x} y1={heightPx} y2={heightPx + 5} />
                <text x={x} y={heightPx + 20} textAnchor={x > widthPx - 12 ? 'end' : x < 12 ? 'start' : 'middle'}>
                  {atS === 0 && wide ? 'pluck' : last ? `${words} s` : words}
                </text>
              </g>
            )
          })}
          {stringSounds &&
            partials.map(({ k, hz }) => (
              <g key={k}>
                <path className="partial-rim" d={`M-5 ${y(hz)}h14M${widthPx - 9} ${y(hz)}h14`} />
                <path className="partial" d={`M-5 ${y(hz)}h14M${widthPx - 9} ${y(hz)}h14`} />
                {wide && (
                  <text x={widthPx + 10} y={y(hz) + 4.5}>
                    {k === 1 ? '1 partial' : k}
                  </text>
                )}
              </g>
            ))}
          {label !== null && <ToneLabel tone={label} at={{ x: xOf(label.atS, frame), y: y(label.hz) }} frame={frame} />}
        </g>
      </svg>
    </div>
  )
})

/** One canvas pixel a value, stretched by the browser: redrawn only for another picture. */
function Levels(props: { spectrogram: Spectrogram; left: number; widthPx: number; heightPx: number }) {
  const { spectrogram, left, widthPx, heightPx } = props
  const canvas = useRef<HTMLCanvasElement | null>(null)
  useEffect(() => {
    const context = canvas.current?.getContext('2d') ?? null
    if (context === null) return
    const { columns, rows, levels } = spectrogram
    const image = context.createImageData(columns, rows)
    for (let column = 0; column < columns; column++) {
      for (let row = 0; row < rows; row++) {
        const share = (levels[column * rows + row] ?? 0) / 255
        const at = 4 * ((rows - 1 - row) * columns + column)
        for (let c = 0; c < 3; c++) image.data[at + c] = (ink[c] ?? 0) + share * ((paper[c] ?? 0) - (ink[c] ?? 0))
        image.data[at + 3] = 255
      }
    }
    context.putImageData(image, 0, 0)
  }, [spectrogram])
  return (
    <canvas
      ref={canvas}
      width={spectrogram.columns}
      height={spectrogram.rows}
      style={{ left, top: topPx, width: widthPx, height: heightPx }}
    />
  )
}

function ToneLabel(props: { tone: HeardTone; at: { x: number; y: number }; frame: Frame }) {
  const { tone, at } = props
  const { widthPx, heightPx } = props.frame
  const text = `room: ${tone.hz.toFixed(1)} Hz, ${placeWords(tone)}`
  const width = text.length * 6.9 + 20
  const left = Math.max(14, Math.min(at.x - 16, widthPx - width - 14))
  const above = at.y > heightPx / 2
  const top = above ? Math.max(4, at.y - 70) : Math.min(heightPx - 30, at.y + 44)
  return (
    <g className="tone-label">
      <line x1={at.x} x2={at.x} y1={above ? top + 26 : top} y2={at.y} />
      <circle cx={at.x} cy={at.y} r={2.5} />
      <rect x={left} y={top} width={width} height={26} rx={3} />
      <text x={left + 10} y={top + 17.5}>
        {text}
      </text>
    </g>
  )
}
