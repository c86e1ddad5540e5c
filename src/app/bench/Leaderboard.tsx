/**
 * "Holds down to": per method the lowest ratio with 95 % true claims, with its interval; brackets at the side tie methods
 * whose intervals overlap. Aimed and blind methods stand apart, for aimed ones know the note. A row is also the switch
 * that draws its method in colour.
 */
import { methods as known } from '../../core/methods/index.ts'
import type { Study } from '../../core/study/study.ts'
import { useBench } from '../store.ts'
import { type Cells, type Column, ratiosOf } from './columns.ts'
import { signedDb } from './figures.ts'
import { type Hold, sortedHolds, tiesOf, trialsToBeSure } from './holds.ts'
import { linearX, ratioLimits } from './scales.ts'
import { useWidth } from './size.ts'
import { Mark, MarkIcon, slotOf } from './slots.tsx'

const rowPx = 48
const tiePx = 9

export function Leaderboard(props: { study: Study; cells: Cells; column: Column; picked: readonly string[] }) {
  const { study, cells, column, picked } = props
  const [element, widthPx] = useWidth<HTMLDivElement>()
  const families = (['aimed', 'blind'] as const).flatMap((family) => {
    const ids = study.methods.map(({ id }) => id).filter((id) => known.find((one) => one.id === id)?.family === family)
    return ids.length === 0 ? [] : [{ family, holds: sortedHolds(study, cells, column, ids) }]
  })
  const fewest = Math.min(...families.flatMap(({ holds }) => holds.map((hold) => hold.n)))
  const ratios = ratiosOf(study)
  const barPx = Math.max(120, widthPx - 2 * tiePx)
  return (
    <section className="leaderboard" ref={element} aria-label="Holds down to">
      <h2>Holds down to, {column.string === column.title ? column.room : column.title}</h2>
      <p className="notes">
        {column.string === column.title ? `${column.string}. ` : ''}Lowest ratio with 95 % true claims there and above.
      </p>
      {families.map(({ family, holds }) => (
        <div key={family}>
          <h3>{family === 'aimed' ? 'aimed: told the note' : 'blind: told a range only'}</h3>
          <div className="holds">
            <svg className="holds-grid" width={barPx} height={holds.length * rowPx} aria-hidden="true">
              {ratios.map((ratio) => {
                const x = ratioX(ratio, ratios, barPx)
                return <line key={ratio} x1={x} x2={x} y1={4} y2={holds.length * rowPx} />
              })}
            </svg>
            {holds.map((hold) => (
              <HoldRow
                key={hold.method}
                hold={hold}
                ratios={ratios}
                widthPx={barPx}
                picked={picked.includes(hold.method)}
              />
            ))}
            <svg className="ties" width={2 * tiePx} height={holds.length * rowPx} aria-hidden="true">
              {tiesOf(holds).map(({ from, to }, at) => (
                <path
                  key={`${from} ${to}`}
                  d={`M${(at % 2) * tiePx} ${from * rowPx + 12}h5v${(to - from) * rowPx + rowPx - 24}h-5`}
                />
              ))}
            </svg>
          </div>
          <RatioScale ratios={ratios} widthPx={barPx} />
        </div>
      ))}
      <p className="notes">
        Lower is harder. A bracket ties methods whose intervals overlap.
        {fewest > 0 &&
          fewest < trialsToBeSure &&
          ` Open to the right under ${trialsToBeSure} trials a ratio: ${trialsToBeSure - fewest} more.`}
      </p>
    </section>
  )
}

/** Left and right of the drawn ratios, so that a mark at the end is whole. */
const insetPx = 4

const ratioX = (snrDb: number, ratios: readonly number[], widthPx: number): number =>
  insetPx + linearX(snrDb, ratioLimits(ratios), widthPx - 2 * insetPx)

function HoldRow(props: { hold: Hold; ratios: readonly number[]; widthPx: number; picked: boolean }) {
  const { hold, ratios, widthPx, picked } = props
  const at = (snrDb: number): number => ratioX(snrDb, ratios, widthPx)
  const open = Number.isNaN(hold.highDb)
  const highest = ratios.at(-1) ?? 0
  const holds = !Number.isNaN(hold.snrDb)
  const end = open ? widthPx - 3 : at(hold.highDb)
  return (
    <button
      type="button"
      className="hold"
      aria-pressed={picked}
      onClick={() => useBench.getState().pick(hold.method)}
      style={{ height: rowPx }}
    >
      <span className="hold-name">
        <MarkIcon methodId={hold.method} />
        <span className="hold-method">{hold.method}</span>
        {hold.n > 0 && !holds && <span className="unseen">not by {signedDb(highest)} dB</span>}
        {hold.n > 0 && holds && <span className="hold-value">{signedDb(hold.snrDb)} dB</span>}
      </span>
      <svg width={widthPx} height="18" aria-hidden="true">
        {hold.n > 0 && !Number.isNaN(hold.lowDb) && (
          <path
            className="hold-whisker"
            stroke={slotOf(hold.method).colour}
            d={`M${at(hold.lowDb)} 9H${end}${hold.lowDb === hold.snrDb ? '' : `M${at(hold.lowDb)} 5v8`}${open ? `M${end - 5} 5l5 4-5 4` : `M${end} 5v8`}`}
          />
        )}
        {hold.n > 0 && holds && <Mark slot={slotOf(hold.method)} x={at(hold.snrDb)} y={9} radius={4.5} />}
        {hold.n > 0 && !holds && (
          <text className="on-ground" x={widthPx - 10} y="13" textAnchor="end">
            not by {signedDb(highest)}
          </text>
        )}
      </svg>
    </button>
  )
}

function RatioScale({ ratios, widthPx }: { ratios: readonly number[]; widthPx: number }) {
  const every = Math.max(1, Math.ceil((40 * ratios.length) / widthPx))
  return (
    <svg className="axis" width={widthPx} height="20" aria-hidden="true">
      {ratios.map((ratio, at) =>
        at % every === 0 ? (
          <text key={ratio} x={ratioX(ratio, ratios, widthPx)} y="14" textAnchor="middle">
            {signedDb(ratio)}
          </text>
        ) : null,
      )}
    </svg>
  )
}
