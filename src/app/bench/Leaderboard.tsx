/**
 * The methods of one column: by their right trials over all ratios, with the lowest ratio each holds and its interval. Who
 * cannot be told from the first in the same trials shares its place: a bracket at the side and a sentence say so. Aimed and
 * blind methods are placed apart, for aimed ones know the note. A row is also the switch that draws its method in colour.
 */
import type { Place } from '../../core/score/paired.ts'
import type { Study } from '../../core/study/study.ts'
import { namesOf } from '../run/names.ts'
import { useBench } from '../store.ts'
import { type Cells, type Column, ratiosOf } from './columns.ts'
import { familyOf, familyWords } from './families.ts'
import { signedDb } from './figures.ts'
import { type Hold, holdOf, trialsToBeSure } from './holds.ts'
import { sharedPlaceWords } from './pairedWords.ts'
import { linearX, ratioLimits } from './scales.ts'
import { useWidth } from './size.ts'
import { Mark, MarkIcon, slotOf } from './slots.tsx'

const rowPx = 48
const tiePx = 9

export function Leaderboard(props: { study: Study; cells: Cells; column: Column; picked: readonly string[] }) {
  const { study, cells, column, picked } = props
  const rankings = useBench((state) => state.results?.rankings)
  const [element, widthPx] = useWidth<HTMLDivElement>()
  const variant = study.rooms.find(({ id }) => id === column.room)?.variant ?? 'string'
  const families = (['aimed', 'blind'] as const).flatMap((family) => {
    const ids = namesOf(study).filter((id) => familyOf(id) === family)
    if (ids.length === 0) return []
    const ranking = rankings?.find(
      (one) => one.string === column.string && one.room === column.room && one.family === family,
    )
    const rows = (ranking?.places ?? ids.map(unplaced)).map((place) => ({
      place,
      hold: holdOf(study, cells, column, place.method),
    }))
    return [{ family, rows }]
  })
  const fewest = Math.min(...families.flatMap(({ rows }) => rows.map(({ hold }) => hold.n)))
  const ratios = ratiosOf(study)
  const barPx = Math.max(120, widthPx - tiePx - 5)
  return (
    <section className="leaderboard" ref={element} aria-label="Holds down to">
      <h2>Holds down to, {column.string === column.title ? column.room : column.title}</h2>
      <p className="notes">
        {column.string === column.title ? `${column.string}. ` : ''}Mark: lowest ratio with 95 % true claims there and
        above. Count: {variant === 'no-string' ? 'trials without a claim, as nothing is plucked' : 'trials gone right'},
        all ratios.
      </p>
      {families.map(({ family, rows }) => (
        <div key={family}>
          <h3>{familyWords[family]}</h3>
          <div className="holds">
            <svg className="holds-grid" width={barPx} height={rows.length * rowPx} aria-hidden="true">
              {ratios.map((ratio) => {
                const x = ratioX(ratio, ratios, barPx)
                return <line key={ratio} x1={x} x2={x} y1={4} y2={rows.length * rowPx} />
              })}
            </svg>
            {rows.map(({ place, hold }) => (
              <HoldRow
                key={place.method}
                place={place}
                hold={hold}
                ratios={ratios}
                widthPx={barPx}
                picked={picked.includes(place.method)}
              />
            ))}
            <svg className="ties" width={tiePx} height={rows.length * rowPx} aria-hidden="true">
              <path d={tiePath(rows.map(({ place }) => place.tied))} />
            </svg>
          </div>
          <RatioScale ratios={ratios} widthPx={barPx} />
          <p className="notes shared-place">{sharedPlaceWords(rows.map(({ place }) => place))}</p>
        </div>
      ))}
      <p className="notes">
        Lower is harder.
        {fewest > 0 &&
          fewest < trialsToBeSure &&
          ` Whiskers are open to the right under ${trialsToBeSure} trials a ratio: ${trialsToBeSure - fewest} more.`}
      </p>
    </section>
  )
}

const unplaced = (method: string): Place => ({
  method,
  right: 0,
  n: 0,
  onlyHere: 0,
  onlyFirst: 0,
  p: Number.NaN,
  tied: false,
})

/** A line from the first row to the last that shares its place, with an arm at every one that does; none for one alone. */
function tiePath(tied: readonly boolean[]): string {
  const places = tied.flatMap((one, at) => (one ? [at * rowPx + rowPx / 2] : []))
  const [from, to] = [places[0], places.at(-1)]
  if (from === undefined || to === undefined || from === to) return ''
  return `M5.5 ${from}V${to}${places.map((y) => `M0 ${y}h5.5`).join('')}`
}

/** Left and right of the drawn ratios, so that a mark at the end is whole. */
const insetPx = 4

const ratioX = (snrDb: number, ratios: readonly number[], widthPx: number): number =>
  insetPx + linearX(snrDb, ratioLimits(ratios), widthPx - 2 * insetPx)

function HoldRow(props: { place: Place; hold: Hold; ratios: readonly number[]; widthPx: number; picked: boolean }) {
  const { place, hold, ratios, widthPx, picked } = props
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
        {hold.n > 0 && (
          <span className="unseen">
            {holds ? `holds down to ${signedDb(hold.snrDb)} dB` : `not by ${signedDb(highest)} dB`}, right in
          </span>
        )}
        {place.n > 0 && (
          <span className="hold-value">
            {place.right} of {place.n}
          </span>
        )}
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
