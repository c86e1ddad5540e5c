/** String over room, partial by partial: bars up where the string stands over the room, down where it drowns. */
import { signedDb } from '../bench/figures.ts'
import type { PartialRatio } from './facts.ts'

const columnPx = 30
const halfPx = 40
/** Figures above and below the bars, numbers of the partials under them. */
const textPx = 16
/** Bars end here; the figure tells how far it goes on. */
const limitDb = 40
const barPx = 14

export function PartialBars({ partials }: { partials: readonly PartialRatio[] }) {
  const shown = partials.filter(({ ratioDb }) => Number.isFinite(ratioDb))
  if (shown.length === 0) return null
  const zero = textPx + halfPx
  const [widthPx, heightPx] = [shown.length * columnPx, 2 * halfPx + 3 * textPx]
  const told = shown.map(({ k, ratioDb }) => `${k}: ${signedDb(Math.round(ratioDb))}`).join(', ')
  return (
    <figure className="partial-bars">
      <figcaption>String over room within 50 c of each partial, dB, first second</figcaption>
      <svg width={widthPx} height={heightPx} role="img" aria-label={`String over room by partial, dB. ${told}`}>
        <line x1={0} x2={widthPx} y1={zero} y2={zero} className="zero" />
        {shown.map(({ k, ratioDb }, i) => {
          const reach = (Math.min(Math.abs(ratioDb), limitDb) / limitDb) * halfPx
          const x = (i + 0.5) * columnPx
          const up = ratioDb >= 0
          return (
            <g key={k} className={up ? 'over' : 'under'}>
              <rect x={x - barPx / 2} y={up ? zero - reach : zero} width={barPx} height={reach} />
              <text x={x} y={up ? zero - reach - 4 : zero + reach + 13}>
                {signedDb(Math.round(ratioDb))}
              </text>
              <text x={x} y={heightPx - 2} className="number">
                {k}
              </text>
            </g>
          )
        })}
      </svg>
    </figure>
  )
}
