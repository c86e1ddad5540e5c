/** The charts' figures as a table: one column's cells, method by method, ratio by ratio. A row is a point too. */
import type { Figure } from '../../core/score/summary.ts'
import type { Pace } from '../../core/study/pace.ts'
import type { Study } from '../../core/study/study.ts'
import { useBench } from '../store.ts'
import { type Cells, type Column, ratiosOf, trusted } from './columns.ts'
import { familyOf, isMixed } from './families.ts'
import { centsWithInterval, countOf, plainNumber, rateInterval, seconds, signedDb, withInterval } from './figures.ts'
import { type Hold, holdOf } from './holds.ts'
import { MarkIcon } from './slots.tsx'

export function FiguresTable(props: {
  study: Study
  cells: Cells
  column: Column
  methods: readonly string[]
  onOpen(): void
}) {
  const { study, cells, column, methods, onOpen } = props
  const point = useBench((state) => state.shown.point)
  const paces = useBench((state) => state.paces)
  const { select } = useBench.getState()
  return (
    // biome-ignore lint/a11y/noNoninteractiveTabindex: a part that scrolls sideways must be reachable by keys
    <section className="table-place" aria-label={`Figures, ${column.title}`} tabIndex={0}>
      <table>
        <caption className="unseen">
          {column.title}: median error, bound, first steady moment, lock and claims by method and ratio, with 95 %
          intervals
        </caption>
        <thead>
          <tr>
            <th scope="col">method</th>
            <th scope="col">ratio, dB</th>
            <th scope="col">error, c (95 %)</th>
            <th scope="col">bound, c</th>
            <th scope="col">first steady, s (95 %)</th>
            <th scope="col">lock, s</th>
            <th scope="col">true, 95&nbsp;%</th>
            <th scope="col">false by the room, 95&nbsp;%</th>
            <th scope="col">false even in quiet, 95&nbsp;%</th>
            <th scope="col">no claim, 95&nbsp;%</th>
            <th scope="col">n</th>
          </tr>
        </thead>
        {methods.map((method) => (
          <tbody key={method}>
            {ratiosOf(study).map((snrDb, at) => {
              const cell = cells.at(column.string, column.room, snrDb, method)
              const chosen =
                point !== null &&
                point.method === method &&
                point.snrDb === snrDb &&
                point.room === column.room &&
                point.string === column.string
              const late = cell === undefined || cell.n === 0 ? '' : 'under half lock'
              return (
                <tr
                  key={snrDb}
                  className={chosen ? 'chosen' : ''}
                  onClick={() => select({ string: column.string, room: column.room, snrDb, method })}
                  onDoubleClick={onOpen}
                >
                  {at === 0 && (
                    <th scope="rowgroup" rowSpan={study.snrsDb.length}>
                      <MarkIcon methodId={method} />
                      <span>
                        {method}
                        {isMixed(methods) && <span className="notes">{familyOf(method)}</span>}
                        <span className="notes">{heldWords(holdOf(study, cells, column, method))}</span>
                        <span className="notes">{paceWords(paces[methods.indexOf(method)])}</span>
                      </span>
                    </th>
                  )}
                  <td>
                    <button
                      type="button"
                      className="row-button"
                      aria-pressed={chosen}
                      aria-label={`Choose ${method} at ${signedDb(snrDb)} dB`}
                    >
                      {signedDb(snrDb)}
                    </button>
                  </td>
                  <td>{cell === undefined ? '' : centsWithInterval(trusted(cell, cell.medianAbsCents))}</td>
                  <td>{cell?.boundSdCents == null ? '' : plainNumber(0.6745 * cell.boundSdCents)}</td>
                  <td>{cell === undefined ? '' : withInterval(trusted(cell, cell.firstSteadyS), seconds, '', late)}</td>
                  <td>{cell?.lockS == null ? '' : seconds(cell.lockS.value)}</td>
                  <td>
                    <Rate figure={cell?.trueRate} />
                  </td>
                  <td className="weigh">
                    <Rate figure={cell?.falseRoomRate} />
                  </td>
                  <td className="weigh">
                    <Rate figure={cell?.falseStructuralRate} />
                  </td>
                  <td>
                    <Rate figure={cell?.noLockRate} />
                  </td>
                  <td>{cell?.n ?? 0}</td>
                </tr>
              )
            })}
          </tbody>
        ))}
      </table>
    </section>
  )
}

/** Out of n, with Wilson's interval of the share. */
function Rate({ figure }: { figure: Figure | null | undefined }) {
  if (figure === null || figure === undefined) return null
  return (
    <>
      {countOf(figure)} <span className="notes">{rateInterval(figure)}</span>
    </>
  )
}

/** Measured here and now, on this machine; nothing for figures that were kept from an earlier session. */
function paceWords(pace: Pace | undefined): string {
  if (pace === undefined || pace.keepsUp === null) return ''
  return `${Math.round(pace.microsecondsAFrame)} \u00b5s a frame, ${pace.keepsUp ? 'keeps up live' : 'does not keep up live'}`
}

/** The leaderboard's figure. */
function heldWords(hold: Hold): string {
  if (hold.n === 0) return ''
  return Number.isNaN(hold.snrDb) ? 'not by the highest ratio' : `holds down to ${signedDb(hold.snrDb)} dB`
}
