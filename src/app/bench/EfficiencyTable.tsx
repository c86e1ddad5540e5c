/** The efficiency pictures' figures: every method, every ratio. */
import type { Study } from '../../core/study/study.ts'
import { type BenchCell, type Column, ratiosOf, trusted } from './columns.ts'
import { type Cause, offsetOf, ratioOf } from './efficiency.ts'
import { centsWithInterval, plainNumber, signedDb } from './figures.ts'
import { MarkIcon } from './slots.tsx'

export function EfficiencyTable(props: {
  study: Study
  column: Column
  methods: readonly string[]
  cellAt(snrDb: number, method: string): BenchCell | undefined
  causes: readonly Cause[]
}) {
  const { study, column, methods, cellAt, causes } = props
  const ratios = ratiosOf(study)
  return (
    // biome-ignore lint/a11y/noNoninteractiveTabindex: a part that scrolls sideways must be reachable by keys
    <section className="table-place" aria-label={`Noise over bound, ${column.title}`} tabIndex={0}>
      <table>
        <thead>
          <tr>
            <th scope="col">method</th>
            <th scope="col">ratio, dB</th>
            <th scope="col">noise over bound (95 %)</th>
            <th scope="col">n</th>
            <th scope="col">noise deviation, c (95 %)</th>
            <th scope="col">bound, c</th>
            <th scope="col">offset, c (95 %)</th>
            <th scope="col">cause</th>
          </tr>
        </thead>
        {methods.map((method) => (
          <tbody key={method}>
            {ratios.map((snrDb, at) => {
              const cell = cellAt(snrDb, method)
              const cause = causes.find(({ cells }) =>
                cells.some((one) => one.method === method && one.snrDb === snrDb),
              )
              return (
                <tr key={snrDb}>
                  {at === 0 && (
                    <th scope="rowgroup" rowSpan={ratios.length}>
                      <MarkIcon methodId={method} />
                      <span>{method}</span>
                    </th>
                  )}
                  <td>{signedDb(snrDb)}</td>
                  <td>{centsWithInterval(ratioOf(cell), '', 'none')}</td>
                  <td>{cell?.boundRatio?.n ?? 0}</td>
                  <td>{cell === undefined ? '' : centsWithInterval(trusted(cell, cell.sdCents), '', 'none')}</td>
                  <td>{cell?.boundSdCents == null ? 'none' : plainNumber(cell.boundSdCents)}</td>
                  <td>{centsWithInterval(offsetOf(cell), '', 'none')}</td>
                  <td>{cause?.letter ?? ''}</td>
                </tr>
              )
            })}
          </tbody>
        ))}
      </table>
    </section>
  )
}
