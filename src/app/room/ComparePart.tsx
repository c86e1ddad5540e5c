/** Two paths side by side: this take against another that is kept, with differences and intervals. */
import { useState } from 'react'
import { type ComparedTakes, compareTakes, type JudgedTake, type Ranged } from '../../core/room/comparetakes.ts'
import type { RoomString } from '../../core/room/roomstring.ts'
import { PickWord } from '../instruments/PickWord.tsx'
import { figuresOfTake } from './judgetake.ts'
import { useTakes } from './takes.ts'
import { number, withRange } from './words.ts'

interface Shown {
  readonly id: string
  readonly compared: ComparedTakes
}

export function ComparePart(props: { takeId: string; own: JudgedTake; strings: readonly RoomString[] }) {
  const { takeId, own, strings } = props
  const heads = useTakes((state) => state.heads)
  const mine = heads.find(({ id }) => id === takeId)
  const others = heads.filter(
    ({ id, instrument, parts }) =>
      id !== takeId && instrument === mine?.instrument && parts.some(({ name }) => name === 'noise'),
  )
  const [shown, setShown] = useState<Shown | null>(null)
  const [problem, setProblem] = useState<string | null>(null)
  const [working, setWorking] = useState(false)
  const other = others.find(({ id }) => id === shown?.id)

  const compare = async (id: string): Promise<void> => {
    setWorking(true)
    setProblem(null)
    const answer = await figuresOfTake(id, strings)
    setWorking(false)
    if (typeof answer === 'string') setProblem(answer)
    else setShown({ id, compared: compareTakes(own, answer) })
  }

  if (others.length === 0) {
    return (
      <p className="quiet">
        Nothing to compare with yet: take this instrument again through another path or at another place.
      </p>
    )
  }
  return (
    <>
      <p className="room-sentence">
        This take ({mine?.path}) against{' '}
        <PickWord
          word={other === undefined ? 'another take' : nameOf(other)}
          label="Compare with"
          title="Compare with"
          groups={[
            {
              title: null,
              picks: others.map((head) => ({ id: head.id, label: nameOf(head) })),
              chosen: shown?.id ?? '',
              onPick: (id) => void compare(id),
            },
          ]}
        />
        .{working && ' Its figures are being made.'}
      </p>
      {problem !== null && (
        <p className="problem" role="alert">
          {problem}
        </p>
      )}
      {shown !== null && <ComparedTable compared={shown.compared} strings={strings} />}
    </>
  )
}

const nameOf = ({ path, madeAt }: { path: string; madeAt: string }): string =>
  `${path}, ${new Date(madeAt).toLocaleTimeString('en-GB', { hour: '2-digit', minute: '2-digit', second: '2-digit' })}`

const rangeOf = (range: Ranged | null): string => (range === null ? '—' : withRange(range.value, range.low, range.high))

function ComparedTable({ compared, strings }: { compared: ComparedTakes; strings: readonly RoomString[] }) {
  const titleOf = (id: string): string => strings.find((string) => string.id === id)?.title ?? id
  return (
    <>
      {/* biome-ignore lint/a11y/noNoninteractiveTabindex: a part that scrolls sideways must be reachable by keys */}
      <section className="table-place" aria-label="Two takes side by side" tabIndex={0}>
        <table className="room-table">
          <caption className="unseen">Two takes side by side, with 95 % intervals of the differences</caption>
          <thead>
            <tr>
              <th scope="col">string</th>
              <th scope="col">this take, dB</th>
              <th scope="col">the other, dB</th>
              <th scope="col">difference, dB</th>
              <th scope="col">pitch differs by, c</th>
              <th scope="col">this fades in, s</th>
              <th scope="col">the other, s</th>
            </tr>
          </thead>
          <tbody>
            {compared.strings.map(({ string, first, second, ratioDb, pitchCents }) => (
              <tr key={string}>
                <th scope="row">{titleOf(string)}</th>
                <td>{number(first.ratioDb)}</td>
                <td>{number(second.ratioDb)}</td>
                <td className="weigh">{rangeOf(ratioDb)}</td>
                <td>{rangeOf(pitchCents)}</td>
                <td>{number(first.decayS)}</td>
                <td>{number(second.decayS)}</td>
              </tr>
            ))}
          </tbody>
        </table>
      </section>
      <p className="notes">
        Difference: the other less this one, 95 % interval from how each room’s seconds differ; n = 1 pluck a string and
        take.
      </p>
    </>
  )
}
