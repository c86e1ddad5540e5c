/**
 * What stands on each display after one pluck, as steps on the upright cents ruler: each value stands until the next. The
 * three share the method's colour, for it is one estimate; they stand one above the other and are told apart by name.
 */
import type { DisplayComparison, SeenDisplay } from '../../core/study/displays.ts'
import { limitCents, timeTicks, xOf, yOf } from '../trial/ruler.ts'
import { settingWords } from './displaysWords.ts'
import { seconds, signedCents } from './figures.ts'
import { useWidth } from './size.ts'
import { slotOf } from './slots.tsx'

const heightPx = 92
const axisPx = 44
/** A glimpse of what is shown before the pluck. */
const beforeS = 0.15
/** Air under the edge for "not on the scale" and above it for half a line's width. */
const rimPx = 8

export function DisplaysPicture(props: { comparison: DisplayComparison; methodId: string; tolCents: number }) {
  const { comparison, methodId, tolCents } = props
  const [element, widthPx] = useWidth<HTMLDivElement>()
  const frame = {
    widthPx: Math.max(120, widthPx - axisPx - 8),
    heightPx,
    fromS: -beforeS,
    toS: comparison.takeS - comparison.leadS,
    onsetS: 0,
  }
  return (
    <div className="displays-picture" ref={element}>
      {widthPx > 0 &&
        comparison.displays.map((seen) => (
          <figure key={seen.id}>
            <figcaption>
              <strong>{seen.id}</strong> <span className="notes">{settingWords(seen.display)}</span>
            </figcaption>
            <Strip
              seen={seen}
              frame={frame}
              tolCents={tolCents}
              colour={slotOf(methodId).colour}
              holdS={comparison.holdS}
            />
          </figure>
        ))}
      {widthPx > 0 && (
        <svg className="axis" width={widthPx} height="40" aria-hidden="true">
          {timeTicks(frame).map((tick) => (
            <text key={tick} x={axisPx + xOf(tick, frame)} y="14" textAnchor="middle">
              {Number(tick.toFixed(1))}
            </text>
          ))}
          <text x={axisPx + frame.widthPx} y="34" textAnchor="end">
            s after the pluck; up: sharp, c from the truth
          </text>
        </svg>
      )}
    </div>
  )
}

type Frame = Parameters<typeof xOf>[1] & { readonly heightPx: number; readonly onsetS: number }

function Strip(props: { seen: SeenDisplay; frame: Frame; tolCents: number; colour: string; holdS: number }) {
  const { seen, frame, tolCents, colour, holdS } = props
  const { firstClaim } = seen
  const y = (cents: number): number => rimPx + yOf(Math.max(-limitCents, Math.min(limitCents, cents)), frame)
  const claimed = Number.isFinite(firstClaim.lockS)
  const left = Math.max(0, xOf(firstClaim.lockS - holdS, frame))
  const right = xOf(firstClaim.lockS, frame)
  const high = y(firstClaim.cents) - 13
  const low = y(firstClaim.cents) + 13
  const words = claimed ? claimWords(firstClaim) : 'no claim'
  const roomRight = frame.widthPx - right
  return (
    <svg
      className="displays-strip"
      width={axisPx + frame.widthPx + 8}
      height={heightPx + 2 * rimPx}
      role="img"
      aria-label={`${seen.id}: ${words}`}
    >
      {[limitCents, tolCents, 0, -tolCents, -limitCents].map((cents) => (
        <text key={cents} x={axisPx - 8} y={y(cents) + 4.5} textAnchor="end">
          {cents === 0 ? '0' : cents > 0 ? `+${cents}` : `\u2212${-cents}`}
        </text>
      ))}
      <g transform={`translate(${axisPx} 0)`}>
        <rect className="displays-within" y={y(tolCents)} width={frame.widthPx} height={y(-tolCents) - y(tolCents)} />
        {[tolCents, -tolCents].map((cents) => (
          <path key={cents} className="displays-tolerance" d={`M0 ${y(cents)}H${frame.widthPx}`} />
        ))}
        <path className="displays-pluck" d={`M${xOf(0, frame)} 0V${heightPx + 2 * rimPx}`} />
        <path className="displays-truth" d={`M0 ${y(0)}H${frame.widthPx}`} />
        <path className="displays-steps" stroke={colour} d={stepsPath(seen, frame, y)} />
        {claimed && (
          <path
            className="bracket"
            d={`M${left + 6} ${high}H${left}V${low}h6M${right - 6} ${high}H${right}V${low}h-6`}
          />
        )}
        <text
          className="displays-claim"
          x={claimed ? (roomRight > 190 ? right + 10 : frame.widthPx) : frame.widthPx}
          y={claimed ? (high < 26 ? low + 16 : high - 5) : 22}
          textAnchor={claimed && roomRight > 190 ? 'start' : 'end'}
        >
          {words}
        </text>
      </g>
    </svg>
  )
}

/** A value stands until the next one; gaps where nothing is shown; at the edge where it is off the scale. */
function stepsPath({ steps, display }: SeenDisplay, frame: Frame, y: (cents: number) => number): string {
  const path: string[] = []
  let drawing = false
  for (const [at, { timeS, cents }] of steps.entries()) {
    const untilS = Math.min(frame.toS, steps[at + 1]?.timeS ?? timeS + 1 / display.updateHz)
    if (untilS <= frame.fromS || !Number.isFinite(cents)) {
      drawing = false
      continue
    }
    const level = y(cents).toFixed(1)
    path.push(drawing ? `V${level}` : `M${xOf(Math.max(frame.fromS, timeS), frame).toFixed(1)} ${level}`)
    path.push(`H${xOf(untilS, frame).toFixed(1)}`)
    drawing = true
  }
  return path.join('')
}

function claimWords({ kind, lockS, cents }: SeenDisplay['firstClaim']): string {
  const falsely = kind === 'true' ? '' : ', false'
  return `claimed at ${seconds(lockS)} s, ${signedCents(cents)} c${falsely}`
}
