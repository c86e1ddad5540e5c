/** What the room does to each string: the verdict in a sentence, and the figures behind it as a table. */
import { ranged, ratioSpreadDb } from '../../core/room/comparetakes.ts'
import type { NoiseFigures } from '../../core/room/noisetake.ts'
import type { RoomString } from '../../core/room/roomstring.ts'
import type { StringFigures } from '../../core/room/stringfigures.ts'
import { levelMomentsS } from '../../core/study/levels.ts'
import { Fold } from '../bench/Fold.tsx'
import { type Judged, ownFigures } from './roomstore.ts'
import { number, withRange } from './words.ts'

export interface ResultProps {
  readonly strings: readonly RoomString[]
  readonly noise: NoiseFigures
  readonly judged: Readonly<Record<string, Judged>>
}

export function Verdicts({ strings, judged }: Omit<ResultProps, 'noise'>) {
  return (
    <ul className="room-verdicts">
      {strings.map(({ id }) => {
        const own = judged[id]
        if (own === undefined) return null
        const { sentence, reasons } = own.verdict
        return (
          <li key={id}>
            <p className="room-verdict">{sentence}</p>
            {reasons.length > 0 && <p className="quiet">{reasons.join(' ')}</p>}
          </li>
        )
      })}
    </ul>
  )
}

export function StringsTable({ strings, noise, judged }: ResultProps) {
  const rows = strings.flatMap((string) => {
    const figures = ownFigures(judged, string.id)
    return figures === null ? [] : [{ string, figures }]
  })
  if (rows.length === 0) return null
  return (
    <>
      {/* biome-ignore lint/a11y/noNoninteractiveTabindex: a part that scrolls sideways must be reachable by keys */}
      <section className="table-place" aria-label="Strings in this room" tabIndex={0}>
        <table className="room-table">
          <caption className="unseen">
            Strings in this room, one pluck each, with 95 % intervals where they can be told
          </caption>
          <thead>
            <tr>
              <th scope="col">string</th>
              <th scope="col">over the room, dB</th>
              {levelMomentsS.map((atS) => (
                <th scope="col" key={atS}>
                  at {atS} s, dB
                </th>
              ))}
              <th scope="col">off the note, c</th>
              <th scope="col">partial 1 fades 60 dB in, s</th>
              <th scope="col">stiffness, 10⁻⁶</th>
              <th scope="col">scatter, c</th>
            </tr>
          </thead>
          <tbody>
            {rows.map(({ string, figures }) => (
              <tr key={string.id}>
                <th scope="row">{string.title}</th>
                <td className="weigh">{ratioWords(figures, noise)}</td>
                {figures.ratioAtDb.map((ratioDb, i) => (
                  <td key={levelMomentsS[i]}>{number(ratioDb)}</td>
                ))}
                <td>{spreadWords(figures.offCents, figures.f1SpreadCents, 1)}</td>
                <td>{number(figures.decayS)}</td>
                <td>{spreadWords(perMillion(figures.stiffness), perMillion(figures.stiffnessSpread), 0)}</td>
                <td>{number(figures.scatterCents, 2)}</td>
              </tr>
            ))}
          </tbody>
        </table>
      </section>
      <p className="notes">
        One pluck of each string (n = 1). Intervals, 95 %: over the room, from how its seconds differ in the noise take;
        off the note and stiffness, from how the partials scatter. How plucks of a hand differ is in none of them.
      </p>
      <Fold title="Partials" question="which stand over the room, which are weak">
        {() => <PartialsTable rows={rows} />}
      </Fold>
    </>
  )
}

function PartialsTable({ rows }: { rows: readonly { string: RoomString; figures: StringFigures }[] }) {
  return (
    // biome-ignore lint/a11y/noNoninteractiveTabindex: a part that scrolls sideways must be reachable by keys
    <section className="table-place" aria-label="Partials" tabIndex={0}>
      <table className="room-table">
        <caption className="unseen">Partials of every string in its first second</caption>
        <thead>
          <tr>
            <th scope="col">string</th>
            <th scope="col">partial</th>
            <th scope="col">Hz</th>
            <th scope="col">over the room, dB</th>
            <th scope="col">under the strongest, dB</th>
            <th scope="col">fades 60 dB in, s</th>
            <th scope="col">stands</th>
          </tr>
        </thead>
        <tbody>
          {rows.flatMap(({ string, figures }) =>
            figures.partials.map((partial) => (
              <tr key={`${string.id} ${partial.k}`}>
                <th scope="row">{string.title}</th>
                <td>{partial.k}</td>
                <td>{number(partial.frequencyHz ?? partial.lawHz, 2)}</td>
                <td>{number(partial.ratioDb)}</td>
                <td>{number(partial.levelDb)}</td>
                <td>{number(partial.decayS)}</td>
                <td>{partial.standing.replace('-', ' ')}</td>
              </tr>
            )),
          )}
        </tbody>
      </table>
    </section>
  )
}

function ratioWords({ ratioDb }: StringFigures, noise: NoiseFigures): string {
  if (ratioDb === null) return '—'
  const { low, high } = ranged(ratioDb, ratioSpreadDb(ratioDb, noise))
  return withRange(ratioDb, low, high)
}

function spreadWords(value: number | null, spread: number | null, places: number): string {
  if (value === null) return '—'
  const { low, high } = ranged(value, spread ?? Number.NaN)
  return withRange(value, low, high, places)
}

const perMillion = (value: number | null): number | null => (value === null ? null : 1e6 * value)
