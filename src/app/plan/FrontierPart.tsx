/** Time against what is left: what can be had with one method, with several, unchecked; under it the hand with a perfect detector. */
import { AsSwitch } from '../bench/AsSwitch.tsx'
import { plainNumber } from '../bench/figures.ts'
import { useWidth } from '../bench/size.ts'
import { useBench } from '../store.ts'
import type { PlanSide } from './answer.ts'
import { aloneIn, centTicks, type FrontierRow, type Kind, kindWords, rowsOf, scalesOf, stairs } from './frontier.ts'
import { cents } from './words.ts'

const heightPx = 240
const axisPx = 46
const footPx = 38

export function FrontierPart({ side }: { side: PlanSide }) {
  const as = useBench((state) => state.shown.as)
  return (
    <section className="plan-frontier">
      <div className="plan-part-head">
        <h2>Frontier</h2>
        <AsSwitch what="frontier" charts="Chart" />
      </div>
      {as === 'table' && (
        <p className="notes">
          Time in nine runs of ten; worst string left in 95 of 100; share verified within the tolerance.
        </p>
      )}
      {as === 'charts' ? <Picture side={side} /> : <FrontierTable rows={rowsOf(side)} />}
      <p className="notes">Dotted ground: the hand with a perfect detector. Below it nothing gets.</p>
    </section>
  )
}

const drawn: readonly Kind[] = ['unverified', 'one-method', 'chain']

function Picture({ side }: { side: PlanSide }) {
  const [element, widthPx] = useWidth<HTMLDivElement>()
  const plotPx = Math.max(0, widthPx - axisPx - 8)
  const scales = scalesOf(side, plotPx, heightPx)
  const { x, y, toS, fromCents, toCents } = scales
  const rows = rowsOf(side)
  const of = (kind: Kind): FrontierRow[] => rows.filter((row) => row.kind === kind && row.timeP90S <= toS)
  const floor = of('hand-floor')
  const { wanted, timeP90S, worstP95Cents } = side.told
  const here = { x: x(timeP90S.value), y: y(worstP95Cents.value) }
  const asked = { x: x(wanted.budgetS), y: y(wanted.withinCents) }
  const step = toS > 100 ? 40 : 20
  const floorPath = floor.map((row) => `${x(row.timeP90S)} ${y(row.worstP95Cents)}`)
  const last = floor.at(-1)
  const check = of('check-only')[0]
  return (
    <div ref={element} className="plan-picture">
      {plotPx > 0 && (
        <svg
          width={widthPx}
          height={heightPx + footPx}
          role="img"
          aria-label={`Time in nine runs of ten against the worst string left. This plan: ${Math.round(timeP90S.value)} s, ${plainNumber(worstP95Cents.value)} c. Asked: ${wanted.budgetS} s, ±${cents(wanted.withinCents)} c. The table holds every point.`}
        >
          <defs>
            <pattern id="plan-dots" width="6" height="6" patternUnits="userSpaceOnUse">
              <circle cx="2" cy="2" r="1" fill="var(--quiet)" />
            </pattern>
            <clipPath id="plan-clip">
              <rect width={plotPx} height={heightPx} />
            </clipPath>
          </defs>
          <g transform={`translate(${axisPx} 4)`}>
            {centTicks
              .filter((tick) => tick >= fromCents && tick <= toCents)
              .map((tick) => (
                <g key={tick}>
                  <line className="grid" x2={plotPx} y1={y(tick)} y2={y(tick)} />
                  <text x={-7} y={y(tick) + 4.5} textAnchor="end">
                    {tick}
                  </text>
                </g>
              ))}
            {Array.from({ length: Math.floor(toS / step) + 1 }, (_, at) => at * step).map((tick) => (
              <g key={tick}>
                <line className="grid" x1={x(tick)} x2={x(tick)} y2={heightPx} />
                <text x={x(tick)} y={heightPx + 17} textAnchor={x(tick) > plotPx - 12 ? 'end' : 'middle'}>
                  {tick}
                </text>
              </g>
            ))}
            <g clipPath="url(#plan-clip)">
              {last !== undefined && (
                <>
                  <path
                    d={`M0 0H${x(floor[0]?.timeP90S ?? 0)}L${floorPath.join('L')}L${plotPx} ${y(last.worstP95Cents)}V${heightPx}H0Z`}
                    fill="url(#plan-dots)"
                  />
                  <path
                    className="bound"
                    d={`M${x(floor[0]?.timeP90S ?? 0)} 0L${floorPath.join('L')}L${plotPx} ${y(last.worstP95Cents)}`}
                  />
                </>
              )}
              <path className="asked" d={`M0 ${asked.y}H${asked.x}V${heightPx}`} />
              {drawn.map((kind) => (
                <path key={kind} className={`stairs ${kind}`} d={stairs(of(kind), scales)} />
              ))}
              {drawn.flatMap((kind) =>
                of(kind).map((row) => (
                  <circle
                    key={`${kind} ${row.timeP90S}`}
                    className={`spot ${kind}`}
                    cx={x(row.timeP90S)}
                    cy={y(row.worstP95Cents)}
                    r={3.5}
                  />
                )),
              )}
              {check !== undefined && (
                <path className="check-only" d={cross(x(check.timeP90S), y(check.worstP95Cents))} />
              )}
            </g>
            {aloneIn(side)
              .filter((one) => one.timeP90S <= toS)
              .map((one) => (
                <g key={one.name}>
                  <circle className="alone" cx={x(one.timeP90S)} cy={y(one.worstP95Cents)} r={6} />
                  <Name x={x(one.timeP90S)} y={y(one.worstP95Cents) - 11} widthPx={plotPx}>
                    {one.name}
                  </Name>
                </g>
              ))}
            {timeP90S.value <= toS && (
              <>
                <circle className="here" cx={here.x} cy={here.y} r={9} />
                <Name x={here.x} y={here.y - 15} widthPx={plotPx} strong>
                  this plan
                </Name>
              </>
            )}
            <Name x={asked.x - 5} y={heightPx - 8} widthPx={plotPx} before>
              {`asked: ${wanted.budgetS} s, ±${cents(wanted.withinCents)}`}
            </Name>
            <text x={plotPx} y={heightPx + 33} textAnchor="end">
              time in nine runs of ten, s
            </text>
            <text
              transform={`translate(${-axisPx + 11} ${heightPx / 2}) rotate(-90)`}
              textAnchor="middle"
              className="axis-word"
            >
              worst string left, c
            </text>
          </g>
        </svg>
      )}
      <ul className="plan-key">
        {[...drawn, 'check-only' as const]
          .filter((kind) => of(kind).length > 0)
          .map((kind) => (
            <li key={kind}>
              <svg width="30" height="14" aria-hidden="true">
                {kind === 'check-only' ? (
                  <path className="check-only" d={cross(15, 7)} />
                ) : (
                  <>
                    <path className={`stairs ${kind}`} d="M1 7H29" />
                    <circle className={`spot ${kind}`} cx="15" cy="7" r="3.5" />
                  </>
                )}
              </svg>
              {kindWords[kind]}
            </li>
          ))}
      </ul>
    </div>
  )
}

const cross = (x: number, y: number): string => `M${x - 5} ${y - 5}l10 10M${x + 5} ${y - 5}l-10 10`

/** A name that stays inside the picture, on a rim of ground. */
function Name(props: { x: number; y: number; widthPx: number; children: string; strong?: boolean; before?: boolean }) {
  const { x, y, widthPx, children, strong, before } = props
  // 7.4 px a letter at 13 px in the widest usual system font.
  const longPx = 7.4 * children.length
  const start = before === true ? x - longPx : x - longPx / 2
  const left = Math.max(2, Math.min(widthPx - longPx - 2, start))
  return (
    <text className={strong ? 'name strong' : 'name'} x={left + longPx / 2} y={Math.max(12, y)} textAnchor="middle">
      {children}
    </text>
  )
}

function FrontierTable({ rows }: { rows: readonly FrontierRow[] }) {
  return (
    // biome-ignore lint/a11y/noNoninteractiveTabindex: a part that scrolls has to be reached by key.
    <section className="table-place plan-table" tabIndex={0} aria-label="Frontier as a table">
      <table>
        <thead>
          <tr>
            <th scope="col">way</th>
            <th scope="col">time, s</th>
            <th scope="col">worst, c</th>
            <th scope="col">within, %</th>
          </tr>
        </thead>
        {[...new Set(rows.map(({ kind }) => kind))].map((kind) => (
          <tbody key={kind}>
            <tr>
              <th scope="rowgroup" colSpan={4}>
                {kindWords[kind]}
              </th>
            </tr>
            {rows
              .filter((row) => row.kind === kind)
              .map((row) => (
                <tr key={`${row.name} ${row.timeP90S}`}>
                  <th scope="row">{row.name}</th>
                  <td>{plainNumber(row.timeP90S)}</td>
                  <td>{plainNumber(row.worstP95Cents)}</td>
                  <td>{Number.isNaN(row.chance) ? 'none' : Math.round(100 * row.chance)}</td>
                </tr>
              ))}
          </tbody>
        ))}
      </table>
    </section>
  )
}
