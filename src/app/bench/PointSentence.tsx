/** What the chosen point says, in words and figures, and the ways into its trials. */
import { useBench } from '../store.ts'
import { type BenchCell, type Cells, trusted } from './columns.ts'
import { centsWithInterval, counted, countOf, seconds, signedDb, withInterval } from './figures.ts'

export function PointSentence(props: { cells: Cells; onWhy(): void; onHear(): void }) {
  const point = useBench((state) => state.shown.point)
  const empty = useBench((state) => state.phase === 'idle' && state.trialsDone === 0)
  const cell = point === null ? undefined : props.cells.at(point.string, point.room, point.snrDb, point.method)
  return (
    <div className="point">
      <p id="point-sentence" aria-live="polite">
        {point === null ? (
          <span className="quiet">
            {empty ? 'Nothing is computed yet: run the study.' : 'Choose a point: tap it, or move with the arrow keys.'}
          </span>
        ) : (
          <>
            <span className="bracketed point-motif" aria-hidden="true" />
            <strong>
              {point.method}, {point.string}, {point.room}, {signedDb(point.snrDb)} dB
            </strong>{' '}
            <span className="quiet">{cell === undefined ? 'not computed yet' : wordsOf(cell)}</span>
          </>
        )}
      </p>
      {point !== null && cell !== undefined && cell.n > 0 && (
        <div className="point-ways">
          <button type="button" className="button" onClick={props.onWhy}>
            See why
          </button>
          <button type="button" className="button" onClick={props.onHear}>
            Hear {cell.n === 1 ? 'the trial' : `the ${cell.n} trials`}
          </button>
        </div>
      )}
    </div>
  )
}

function wordsOf(cell: BenchCell): string {
  if (cell.n === 0) return `${counted(cell.failed, 'trial')} failed`
  const room = countOf(cell.falseRoomRate)
  const structural = countOf(cell.falseStructuralRate)
  const wrong = room + structural
  const causes = [room > 0 && `${room} by the room`, structural > 0 && `${structural} even in quiet`].filter(Boolean)
  const parts = [
    `error ${centsWithInterval(trusted(cell, cell.medianAbsCents), ' c')}`,
    wrong === 0
      ? `no false claim in ${cell.n}`
      : `${counted(wrong, 'false claim')} in ${cell.n} (${causes.join(', ')})`,
    cell.firstSteadyS === null
      ? 'under half lock'
      : `steady after ${withInterval(trusted(cell, cell.firstSteadyS), seconds, ' s')}`,
  ]
  if (cell.lacking > 0) parts.push(`${counted(cell.lacking, 'more trial')} for an interval`)
  if (cell.failed > 0) parts.push(`${counted(cell.failed, 'trial')} failed`)
  return parts.join(', ')
}
