/** The spectrum's figures: where the partials are, how they stand over the room, and the room's strongest tone. */
import { plainNumber, signedCents } from '../bench/figures.ts'
import type { Examination } from './examine.ts'

export function PartialsTable({ examination, stringSounds }: { examination: Examination; stringSounds: boolean }) {
  const { partials, tone } = examination
  return (
    // biome-ignore lint/a11y/noNoninteractiveTabindex: a part that scrolls must be reachable by keys
    <section className="readings-table" aria-label="Partials of the string, and the room's strongest tone" tabIndex={0}>
      <table>
        <caption className="unseen">
          Partials over the room: powers within 50 c of the partial, over the first second
        </caption>
        <thead>
          <tr>
            <th scope="col">partial</th>
            <th scope="col">Hz</th>
            <th scope="col">string over room, dB</th>
          </tr>
        </thead>
        <tbody>
          {stringSounds &&
            partials.map(({ k, hz, ratioDb }) => (
              <tr key={k}>
                <th scope="row">{k}</th>
                <td>{hz.toFixed(1)}</td>
                <td>{Number.isFinite(ratioDb) ? plainNumber(ratioDb) : 'not known'}</td>
              </tr>
            ))}
          <tr>
            <th scope="row">room’s strongest tone</th>
            <td>{tone === null ? 'none stands out' : tone.hz.toFixed(1)}</td>
            <td>{tone === null ? '' : `${signedCents(tone.fromPartialCents)} c of partial ${tone.k}`}</td>
          </tr>
        </tbody>
      </table>
    </section>
  )
}
