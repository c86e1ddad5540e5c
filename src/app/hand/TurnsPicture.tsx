/** Every turn as a mark: what was meant across, what came of it upwards; the line is a turn as far as was meant. Its table holds the same. */
import type { Figure } from '../../core/maths/statistics.ts'
import type { TurnPair } from '../../core/plan/handfit.ts'
import { askedCents } from '../../core/plan/handguide.ts'
import { useWidth } from '../bench/size.ts'

const heightPx = 240
const inset = { left: 44, right: 12, top: 28, bottom: 34 } as const
const tickCents = [0, 10, 20, 30, 40]

export function TurnsPicture({ pairs, gain }: { pairs: readonly TurnPair[]; gain: Figure | null }) {
  const [place, widthPx] = useWidth<HTMLDivElement>()
  const moved = pairs.map(({ beforeCents, afterCents }) => afterCents - beforeCents)
  const meant = pairs.map(({ intendedCents = 0 }) => intendedCents)
  const mostX = Math.max(...askedCents) + 4
  const mostY = Math.max(mostX, ...moved) + 2
  const leastY = Math.min(0, ...moved)
  const x = (cents: number): number => inset.left + (cents / mostX) * (widthPx - inset.left - inset.right)
  const y = (cents: number): number =>
    heightPx - inset.bottom - ((cents - leastY) / (mostY - leastY)) * (heightPx - inset.top - inset.bottom)
  return (
    <>
      <div className="hand-picture" ref={place}>
        {widthPx > 0 && (
          <svg width={widthPx} height={heightPx} aria-hidden="true">
            {tickCents.map((tick) => (
              <g key={tick}>
                <path className="grid" d={`M${inset.left} ${y(tick)}H${widthPx - inset.right}`} />
                <text x={inset.left - 8} y={y(tick) + 4} textAnchor="end">
                  {tick}
                </text>
                <text x={x(tick)} y={heightPx - inset.bottom + 18} textAnchor="middle">
                  {tick}
                </text>
              </g>
            ))}
            <text x={widthPx - inset.right} y={heightPx - 2} textAnchor="end">
              meant, c
            </text>
            <text x={4} y={12}>
              moved, c
            </text>
            <path className="meant" d={`M${x(0)} ${y(0)}L${x(mostX)} ${y(mostX)}`} />
            {gain !== null && <path className="came" d={`M${x(0)} ${y(0)}L${x(mostX)} ${y(gain.value * mostX)}`} />}
            {pairs.map((pair, at) => (
              <circle key={pair.beforeCents} cx={x(meant[at] ?? 0)} cy={y(moved[at] ?? 0)} r={5.5} />
            ))}
          </svg>
        )}
      </div>
      <p className="notes">
        Dashed: as far as was meant.{gain !== null && ' Solid: how far your turns come in the middle.'}
      </p>
      <details className="hand-table">
        <summary>Every turn, as a table</summary>
        <div className="table-place">
          <table>
            <thead>
              <tr>
                <th scope="col">Turn</th>
                <th scope="col">Meant, c</th>
                <th scope="col">Moved, c</th>
                <th scope="col">React, s</th>
                <th scope="col">Turn, s</th>
              </tr>
            </thead>
            <tbody>
              {pairs.map((pair, at) => (
                <tr key={pair.beforeCents}>
                  <th scope="row">{at + 1}</th>
                  <td>{meant[at]}</td>
                  <td>{moved[at]?.toFixed(1).replace('-', '−')}</td>
                  <td>{timeWord(pair.reactionS)}</td>
                  <td>{timeWord(pair.turnS)}</td>
                </tr>
              ))}
            </tbody>
          </table>
        </div>
      </details>
    </>
  )
}

const timeWord = (seconds: number): string => (Number.isNaN(seconds) ? 'not seen' : seconds.toFixed(2))
