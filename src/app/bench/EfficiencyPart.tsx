/**
 * How much of what the sound holds a method uses: its noise deviation over the bound of the same evidence, ratio by ratio,
 * and beside it its offset, because a method that is pulled to one value can have little noise. Under 1 needs a cause, and
 * the cause is written below.
 */
import type { Study } from '../../core/study/study.ts'
import { namesOf } from '../run/names.ts'
import { useBench } from '../store.ts'
import { Legend } from './axes.tsx'
import { type BenchCell, type Cells, type Column, ratiosOf } from './columns.ts'
import { EfficiencyPicture, type Series } from './EfficiencyPicture.tsx'
import { EfficiencyTable } from './EfficiencyTable.tsx'
import { causesOf, offsetOf, ratioOf } from './efficiency.ts'
import { useWidth } from './size.ts'

const heightPx = 230
const gapPx = 22

export function EfficiencyPart(props: { study: Study; cells: Cells; column: Column; picked: readonly string[] }) {
  const { study, cells, column, picked } = props
  const as = useBench((state) => state.shown.as)
  const [element, widthPx] = useWidth<HTMLDivElement>()
  const cellAt = (snrDb: number, method: string): BenchCell | undefined =>
    cells.at(column.string, column.room, snrDb, method)
  const methods = namesOf(study)
  const causes = causesOf(ratiosOf(study), methods, cellAt)
  const known = methods.some((id) => ratiosOf(study).some((snrDb) => ratioOf(cellAt(snrDb, id)) !== null))
  const seriesOf = (pick: typeof ratioOf): readonly Series[] =>
    picked.map((method) => ({
      method,
      points: ratiosOf(study).map((snrDb) => ({ snrDb, figure: pick(cellAt(snrDb, method)) })),
    }))
  const counts = picked.flatMap((id) => ratiosOf(study).map((snrDb) => cellAt(snrDb, id)?.boundRatio?.n ?? 0))
  const fewest = Math.min(...counts)
  const wide = widthPx >= 700
  const pictureWidth = wide ? Math.floor((widthPx - gapPx) / 2) : widthPx

  return (
    <div className="efficiency" ref={element}>
      <p className="notes pair-rule">
        {column.room}, {column.string}. Noise deviation: root mean square of reading minus truth minus the method's own
        offset, gross errors left out (a string's own glide adds to it); bound: best any unbiased method without memory
        can do with the same evidence, stiffness known. Offset: median reading minus truth in quiet. Bars: 95 %
        bootstrap over trials.
      </p>
      {!known && <p className="quiet">There is no bound here, or nothing is computed yet.</p>}
      {known && as === 'table' && (
        <EfficiencyTable study={study} column={column} methods={methods} cellAt={cellAt} causes={causes} />
      )}
      {known && as === 'charts' && widthPx > 0 && (
        <>
          <Legend picked={picked} />
          <div className="efficiency-pictures" style={{ columnGap: gapPx }}>
            <figure>
              <figcaption>
                Noise over bound <span className="notes">{counts.length > 0 && `n ${fewest} a point`}</span>
              </figcaption>
              <EfficiencyPicture
                kind="ratio"
                series={seriesOf(ratioOf)}
                ratios={ratiosOf(study)}
                causes={causes}
                widthPx={pictureWidth}
                heightPx={heightPx}
              />
            </figure>
            <figure>
              <figcaption>Offset in quiet, c</figcaption>
              <EfficiencyPicture
                kind="offset"
                series={seriesOf(offsetOf)}
                ratios={ratiosOf(study)}
                causes={[]}
                widthPx={pictureWidth}
                heightPx={heightPx}
              />
            </figure>
          </div>
          <p className="notes">dB, string over room. Methods in colour are those picked above; the table has all.</p>
        </>
      )}
      {causes.length > 0 && (
        <ul className="efficiency-causes">
          {causes.map(({ letter, where, words }) => (
            <li key={letter}>
              <strong>{letter}</strong> {where} under the bound: {words}.
            </li>
          ))}
        </ul>
      )}
    </div>
  )
}
