/** The figures as tables: one wide one, or on a phone one a figure with the strings as columns. */

import type { StringFigures } from '../../core/instruments/figures.ts'
import { marginFigure, type ShownFigure, shownFigures } from './figureList.ts'
import { Alarm, SideMark, Told } from './Marks.tsx'
import { type StringPair, sidesOf } from './pairs.ts'
import { StringWord } from './StringWord.tsx'
import { signedPercent } from './sentences.ts'

const tabled: readonly ShownFigure[] = shownFigures.flatMap((figure) =>
  figure.id === 'load' ? [figure, marginFigure] : [figure],
)

function Cell({ figure, string }: { figure: ShownFigure; string: StringFigures | null }) {
  if (string === null) return <td className="notes">no string</td>
  const alarmed = figure.alarmFrom !== undefined && string.alarm !== null
  return (
    <td>
      {alarmed ? (
        <Alarm>
          <Told figure={figure.read(string)} places={figure.places} />
        </Alarm>
      ) : (
        <Told figure={figure.read(string)} places={figure.places} />
      )}
    </td>
  )
}

const sideWords = { first: 'first set-up', second: 'second set-up' } as const

export function WideTable({ pairs, two }: { pairs: readonly StringPair[]; two: boolean }) {
  const sides = two ? (['first', 'second'] as const) : (['first'] as const)
  return (
    <section className="table-place setup-table" aria-label="Figures of every string">
      <table>
        <caption className="unseen">Figures of every string, lowest first</caption>
        <thead>
          <tr>
            <th rowSpan={2} scope="col">
              string
            </th>
            {tabled.map((figure) => (
              <th
                key={figure.id}
                scope="colgroup"
                colSpan={sides.length + (two && figure.id === 'tension' ? 1 : 0)}
                className="figure-head"
              >
                <strong>{figure.title}</strong>
                <span className="notes">{figure.note}</span>
              </th>
            ))}
          </tr>
          <tr>
            {tabled.flatMap((figure) => [
              ...sides.map((side) => (
                <th key={`${figure.id} ${side}`} scope="col" className="side-head">
                  <SideMark side={side} />
                  <span className="unseen">{sideWords[side]}</span>
                </th>
              )),
              ...(two && figure.id === 'tension'
                ? [
                    <th key="change" scope="col" className="side-head">
                      change
                    </th>,
                  ]
                : []),
            ])}
          </tr>
        </thead>
        <tbody>
          {pairs.map((pair) => (
            <tr key={pair.number}>
              <th scope="row">
                <StringWord number={pair.number} name={pair.name} sides={sidesOf(pair)} />
              </th>
              {tabled.flatMap((figure) => [
                ...sides.map((side) => <Cell key={`${figure.id} ${side}`} figure={figure} string={pair[side]} />),
                ...(two && figure.id === 'tension'
                  ? [
                      <td key="change" className="weigh">
                        {Number.isNaN(pair.tensionPercent) ? '' : signedPercent(pair.tensionPercent)}
                      </td>,
                    ]
                  : []),
              ])}
            </tr>
          ))}
        </tbody>
      </table>
    </section>
  )
}

/** On a phone. Without `withTension` the chart above has it. */
export function NarrowTables(props: { pairs: readonly StringPair[]; two: boolean; withTension: boolean }) {
  const { pairs, two, withTension } = props
  const sides = two ? (['first', 'second'] as const) : (['first'] as const)
  return tabled
    .filter(({ id }) => withTension || id !== 'tension')
    .map((figure) => (
      // biome-ignore lint/a11y/noNoninteractiveTabindex: with many strings it scrolls, and keys must be able to
      <section key={figure.id} className="table-place figure-table" aria-label={figure.title} tabIndex={0}>
        <table>
          <caption>
            <strong>{figure.title}</strong> <span className="notes">{figure.note}</span>
          </caption>
          <thead>
            <tr>
              <td />
              {pairs.map(({ number, name }) => (
                <th key={number} scope="col">
                  {name}
                </th>
              ))}
            </tr>
          </thead>
          <tbody>
            {sides.map((side) => (
              <tr key={side}>
                <th scope="row">
                  <SideMark side={side} />
                  <span className="unseen">{sideWords[side]}</span>
                </th>
                {pairs.map((pair) => (
                  <Cell key={pair.number} figure={figure} string={pair[side]} />
                ))}
              </tr>
            ))}
            {two && figure.id === 'tension' && (
              <tr>
                <th scope="row">change</th>
                {pairs.map((pair) => (
                  <td key={pair.number}>
                    {Number.isNaN(pair.tensionPercent) ? '' : signedPercent(pair.tensionPercent)}
                  </td>
                ))}
              </tr>
            )}
          </tbody>
        </table>
      </section>
    ))
}
