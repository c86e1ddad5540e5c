/** The figures of three displays, side by side, and the picture's values as a table. */
import type { ReactNode } from 'react'
import type { DisplayComparison, SeenDisplay } from '../../core/study/displays.ts'
import { fewestForInterval } from './columns.ts'
import { centsLines, falseClaims, shareLines, timeLines } from './displaysWords.ts'
import { countOf, seconds, signedCents } from './figures.ts'

export function DisplaysFigures(props: { comparison: DisplayComparison; ownHoldS: number }) {
  const { comparison, ownHoldS } = props
  const { displays, plucks, holdS } = comparison
  const first = displays[0]?.id ?? ''
  const row = (title: ReactNode, tell: (seen: SeenDisplay) => readonly [string, string]): ReactNode => (
    <tr>
      <th scope="row">{title}</th>
      {displays.map((seen) => {
        const [value, below] = tell(seen)
        return (
          <td key={seen.id}>
            {value}
            {below !== '' && <span className="notes">{below}</span>}
          </td>
        )
      })}
    </tr>
  )
  return (
    <table className="displays-figures">
      <caption className="notes">
        {plucks} plucks behind each display, held for {holdS} s; below a value its 95 % interval. Spread and share: of
        values whose evidence lies in the first second.
      </caption>
      <thead>
        <tr>
          <td />
          {displays.map(({ id }) => (
            <th key={id} scope="col">
              {id}
            </th>
          ))}
        </tr>
      </thead>
      <tbody>
        {row('lock, s', ({ figures }) => timeLines(figures.lockS, 'under half'))}
        {row(`later than ${first}, s`, ({ laterS, id }) => {
          const [value, interval] = timeLines(laterS, id === first ? '\u2013' : 'none')
          const enough = laterS !== null && laterS.n >= fewestForInterval
          return [value, laterS === null ? '' : [enough && interval, `n ${laterS.n}`].filter(Boolean).join(', ')]
        })}
        {row('spread, c', ({ figures }) => centsLines(figures.sdCents, 'no reading'))}
        {row('50 c off and more', ({ figures }) => shareLines(figures.grossRate, 'no reading'))}
        {row('false claims', (seen) => [
          `${falseClaims(seen)} of ${seen.figures.n}`,
          shareLines(seen.falseRate, '')[1],
        ])}
        {row('no claim', ({ figures }) => [`${countOf(figures.noLockRate)} of ${figures.n}`, ''])}
        {row(`in the study's ${ownHoldS} s hold`, ({ tooSlow }) => [tooSlow ? 'too slow to claim' : 'can claim', ''])}
      </tbody>
    </table>
  )
}

/** At every value of the slowest display: what stands on each. */
export function DisplaysValues({ comparison }: { comparison: DisplayComparison }) {
  const { displays } = comparison
  const slowest = [...displays].sort((a, b) => a.display.updateHz - b.display.updateHz)[0]
  const moments = (slowest?.steps ?? []).filter(({ timeS }) => timeS >= 0)
  const shownAt = ({ steps }: SeenDisplay, timeS: number): string => {
    const cents = steps.findLast((step) => step.timeS <= timeS + 1e-9)?.cents ?? Number.NaN
    return Number.isFinite(cents) ? signedCents(cents) : 'nothing'
  }
  return (
    // biome-ignore lint/a11y/noNoninteractiveTabindex: a part that scrolls must be reachable by keys
    <section className="displays-values" aria-label="What stands on each display, cents from the truth" tabIndex={0}>
      <table>
        <caption className="unseen">
          The first pluck: what stands on each display, cents from the truth, at every value of the slowest
        </caption>
        <thead>
          <tr>
            <th scope="col">s after the pluck; c</th>
            {displays.map(({ id }) => (
              <th key={id} scope="col">
                {id}
              </th>
            ))}
          </tr>
        </thead>
        <tbody>
          {moments.map(({ timeS }) => (
            <tr key={timeS}>
              <th scope="row">{seconds(timeS)}</th>
              {displays.map((seen) => (
                <td key={seen.id}>{shownAt(seen, timeS)}</td>
              ))}
            </tr>
          ))}
        </tbody>
      </table>
    </section>
  )
}
