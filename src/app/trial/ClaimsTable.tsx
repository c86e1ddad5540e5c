/** What every method claimed in this trial. A row is also the way to look at that method. */
import { median } from '../../core/maths/statistics.ts'
import { methodById } from '../../core/methods/index.ts'
import type { Study } from '../../core/study/study.ts'
import type { Track } from '../../core/study/trial.ts'
import type { Why } from '../../core/study/why.ts'
import { plainNumber, seconds } from '../bench/figures.ts'
import { MarkIcon } from '../bench/slots.tsx'
import { methodIdOf, namesOf } from '../run/names.ts'
import { claimWords, whyNote } from './sentence.ts'

export function ClaimsTable(props: {
  study: Study
  tracks: readonly Track[]
  whys: Readonly<Record<string, Why>>
  onsetS: number
  chosen: string
  onChoose(method: string): void
}) {
  const { study, tracks, whys, onsetS, chosen, onChoose } = props
  return (
    <table className="claims-table">
      <caption className="unseen">Claims in this trial, by method; a method's name shows it in the pictures</caption>
      <thead>
        <tr>
          <th scope="col">method</th>
          <th scope="col">claim, c</th>
          <th scope="col">lock, s</th>
          <th scope="col">verdict</th>
        </tr>
      </thead>
      <tbody>
        {namesOf(study).map((id) => {
          const track = tracks.find(({ method }) => method.id === id)
          const why = whys[id]
          return (
            <tr key={id} className={id === chosen ? 'chosen' : ''}>
              <th scope="row">
                <button type="button" aria-pressed={id === chosen} onClick={() => onChoose(id)}>
                  <MarkIcon methodId={id} />
                  <span>
                    <span className="claim-method">{id}</span>
                    <span className="notes">{track === undefined ? 'failed' : noteOf(track, why, onsetS, study)}</span>
                  </span>
                </button>
              </th>
              <td>{track === undefined || track.score.claim === 'none' ? '' : claimWords(track.score.claimCents)}</td>
              <td>{track === undefined || track.score.claim === 'none' ? '' : seconds(track.score.lockS)}</td>
              <td>{track === undefined ? 'failed' : <Verdict claim={track.score.claim} />}</td>
            </tr>
          )
        })}
      </tbody>
    </table>
  )
}

function Verdict({ claim }: { claim: Track['score']['claim'] }) {
  if (claim === 'none') return <span className="quiet">no claim</span>
  if (claim === 'true') return <strong>true</strong>
  return (
    <strong className="verdict-false">
      false
      <svg width="13" height="13" viewBox="0 0 13 13" aria-hidden="true">
        <path d="M.7.7h11.6v11.6H.7ZM1 1l11 11M12 1 1 12" />
      </svg>
    </strong>
  )
}

function noteOf(track: Track, why: Why | undefined, onsetS: number, study: Study): string {
  const spread = ownSpreadCents(track, onsetS, study.sampleRateHz)
  const parts = [
    methodById(methodIdOf(track.method.id)).family === 'aimed' ? 'told the note' : '',
    why === undefined ? '' : whyNote(why),
    Number.isNaN(spread) ? '' : `own spread ${plainNumber(spread)} c`,
  ].filter((part) => part !== '')
  return parts.length === 0 ? 'no spread of its own' : parts.join(', ')
}

/** What the method itself said of its readings after the pluck; NaN: it says nothing. */
function ownSpreadCents({ readings }: Track, onsetS: number, sampleRateHz: number): number {
  const said = readings
    .filter(({ fromSample }) => fromSample / sampleRateHz >= onsetS)
    .map(({ spreadCents }) => spreadCents)
    .filter((cents) => cents >= 0)
  return median(said)
}
