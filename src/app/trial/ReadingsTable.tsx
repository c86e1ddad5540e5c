/** The chart's readings as a table: one row a moment, one column a method, in the order of the claims. */
import { memo } from 'react'
import { centsBetween } from '../../core/maths/units.ts'
import { firstHold } from '../../core/score/claim.ts'
import type { ClaimSettings } from '../../core/score/score.ts'
import type { Track } from '../../core/study/trial.ts'
import { signedCents } from '../bench/figures.ts'
import { MarkIcon } from '../bench/slots.tsx'

export const ReadingsTable = memo(function ReadingsTable(props: {
  tracks: readonly Track[]
  settledHz: number
  onsetS: number
  sampleRateHz: number
  settings: ClaimSettings
}) {
  const { tracks, settledHz, onsetS, sampleRateHz, settings } = props
  const rows = momentsOf(tracks, sampleRateHz, onsetS)
  const columns = tracks.map(({ method, readings }) => ({
    id: method.id,
    at: new Map(readings.map((reading, place) => [nearest(rows, reading.toSample), { f0Hz: reading.f0Hz, place }])),
    hold: firstHold(readings, sampleRateHz, settings),
  }))
  return (
    // biome-ignore lint/a11y/noNoninteractiveTabindex: a part that scrolls must be reachable by keys
    <section className="readings-table" aria-label="Readings, cents from the truth" tabIndex={0}>
      <table>
        <caption className="unseen">
          Readings after the pluck, cents from the truth; readings of the hold that made a claim stand in brackets. The
          moments are those of the method that reads most often; readings of others stand at the nearest.
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
          {rows.map((sample, row) => (
            <tr key={sample}>
              <th scope="row">{(sample / sampleRateHz - onsetS).toFixed(3)}</th>
              {columns.map(({ id, at, hold }) => {
                const reading = at.get(row)
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

/** Samples at which the method that reads most often was heard, from the pluck on. */
function momentsOf(tracks: readonly Track[], sampleRateHz: number, onsetS: number): readonly number[] {
  const most = tracks.reduce<Track | null>(
    (best, track) => (best === null || track.readings.length > best.readings.length ? track : best),
    null,
  )
  return (most?.readings ?? []).map(({ toSample }) => toSample).filter((sample) => sample >= onsetS * sampleRateHz)
}

/** Place of the row nearest to a sample; -1 further than a step before the first. */
function nearest(rows: readonly number[], sample: number): number {
  let [low, high] = [0, rows.length]
  while (low < high) {
    const middle = (low + high) >> 1
    if ((rows[middle] ?? 0) < sample) low = middle + 1
    else high = middle
  }
  const [before, after] = [
    sample - (rows[low - 1] ?? Number.NEGATIVE_INFINITY),
    (rows[low] ?? Number.POSITIVE_INFINITY) - sample,
  ]
  if (low === 0) return after <= ((rows[1] ?? sample) - (rows[0] ?? 0)) / 2 ? 0 : -1
  return before < after ? low - 1 : low
}
