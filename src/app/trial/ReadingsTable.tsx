/** The chart's readings as a table: one row a moment, one column a method, in the order of the claims. */
import { memo } from 'react'
import { centsBetween } from '../../core/maths/units.ts'
import { firstHold } from '../../core/score/claim.ts'
import type { ClaimSettings } from '../../core/score/score.ts'
import type { Track } from '../../core/study/trial.ts'
import { seconds, signedCents } from '../bench/figures.ts'
import { MarkIcon } from '../bench/slots.tsx'

export const ReadingsTable = memo(function ReadingsTable(props: {
  tracks: readonly Track[]
  settledHz: number
  onsetS: number
  sampleRateHz: number
  settings: ClaimSettings
}) {
  const { tracks, settledHz, onsetS, sampleRateHz, settings } = props
  const columns = tracks.map(({ method, readings }) => ({
    id: method.id,
    at: new Map(readings.map((reading, place) => [reading.toSample, { f0Hz: reading.f0Hz, place }])),
    hold: firstHold(readings, sampleRateHz, settings),
  }))
  const moments = [...new Set(columns.flatMap(({ at }) => [...at.keys()]))]
    .filter((sample) => sample / sampleRateHz >= onsetS)
    .sort((a, b) => a - b)
  return (
    // biome-ignore lint/a11y/noNoninteractiveTabindex: a part that scrolls must be reachable by keys
    <section className="readings-table" aria-label="Readings, cents from the truth" tabIndex={0}>
      <table>
        <caption className="unseen">
          Readings after the pluck, cents from the truth; readings of the hold that made a claim stand in brackets
        </caption>
        <thead>
          <tr>
            <th scope="col">s after the pluck</th>
            {columns.map(({ id }) => (
              <th key={id} scope="col">
                <span className="with-mark">
                  <MarkIcon methodId={id} />
                  {id}
                </span>
              </th>
            ))}
          </tr>
        </thead>
        <tbody>
          {moments.map((sample) => (
            <tr key={sample}>
              <th scope="row">{seconds(sample / sampleRateHz - onsetS)}</th>
              {columns.map(({ id, at, hold }) => {
                const reading = at.get(sample)
                if (reading === undefined) return <td key={id} />
                const words = reading.f0Hz > 0 ? signedCents(centsBetween(reading.f0Hz, settledHz)) : 'declined'
                const held = hold !== null && reading.place >= hold.first && reading.place <= hold.last
                return <td key={id}>{held ? `[ ${words} ]` : words}</td>
              })}
            </tr>
          ))}
        </tbody>
      </table>
    </section>
  )
})
