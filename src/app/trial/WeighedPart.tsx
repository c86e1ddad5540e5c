/**
 * What the chosen method weighed in one frame: its candidates with scores, which one it took, what each is of the string, and
 * which tone of the room stands beside it. Only for methods whose own curve can be computed again; the others say so.
 */
import { useMemo, useState } from 'react'
import { fill } from '../../core/fields.ts'
import { centsBetween } from '../../core/maths/units.ts'
import { methodById } from '../../core/methods/index.ts'
import type { Reading } from '../../core/methods/method.ts'
import {
  type Candidate,
  foremost,
  takenOf,
  type Weighed,
  weighedAt,
  weighingMethods,
} from '../../core/study/candidates.ts'
import { strongestLine } from '../../core/study/lines.ts'
import type { Study } from '../../core/study/study.ts'
import type { Track } from '../../core/study/trial.ts'
import { listed, plainNumber, signedCents } from '../bench/figures.ts'
import type { SeenTrial } from './useTrial.ts'
import { partWords, shownFirst } from './weighed.ts'

export function WeighedPart({ study, seen, chosen }: { study: Study; seen: SeenTrial; chosen: string }) {
  const track = seen.replay.tracks.find(({ method }) => method.id === chosen)
  if (track === undefined) return <p className="quiet">It failed in this trial.</p>
  if (!weighingMethods.includes(chosen)) {
    return (
      <p className="quiet">
        {chosen} does not show what it weighed, only what it read. Those that can be asked: {listed(weighingMethods)}.
      </p>
    )
  }
  if (track.method.display !== undefined) {
    return <p className="quiet">Behind a display no reading belongs to one stretch of sound.</p>
  }
  return <Frames key={`${seen.replay.trial.index} ${chosen}`} study={study} seen={seen} track={track} />
}

function Frames({ study, seen, track }: { study: Study; seen: SeenTrial; track: Track }) {
  const { take, noise } = seen.replay.rendered
  const { sampleRateHz, truth } = take
  const { room, trial } = seen.replay
  const targetHz = study.strings.find(({ id }) => id === trial.string)?.targetHz ?? null
  const onsetS = truth?.onsetS ?? study.leadS
  const { readings, score } = track
  const [at, setAt] = useState(() => shownFirst(readings, score, sampleRateHz, onsetS, truth?.settledHz ?? Number.NaN))
  const reading = readings[at]
  const rows = useMemo(() => {
    if (reading === undefined) return null
    const { id, values } = track.method
    const { family, fields } = methodById(id)
    const aimed = family === 'aimed'
    const stream = {
      ...{ sampleRateHz, lowestHz: study.lowestHz, highestHz: study.highestHz },
      targetHz: aimed ? targetHz : null,
      room: aimed && study.roomLearnt ? room : null,
    }
    const weighed = weighedAt(id, take.samples, reading, stream, fill(fields, values))
    return weighed === null
      ? null
      : {
          weighed,
          taken: takenOf(weighed, reading.f0Hz),
          list: foremost(weighed, reading.f0Hz).map((one) => ({
            one,
            tone: toneBy(one, reading, noise, sampleRateHz),
          })),
        }
  }, [reading, track.method, study, targetHz, room, take.samples, noise, sampleRateHz])
  if (reading === undefined) return <p className="quiet">It gave no reading.</p>
  const atS = reading.toSample / sampleRateHz - onsetS
  const words = `${atS.toFixed(2).replace('-', '\u2212')} s after the pluck`
  const noString = seen.replay.scene.noString ?? false
  return (
    <>
      <label className="weighed-moment">
        <span>
          Reading at <strong>{words}</strong>
          {reading.f0Hz > 0 ? `: ${reading.f0Hz.toFixed(1)} Hz` : ': declined'}
        </span>
        <input
          type="range"
          min={0}
          max={readings.length - 1}
          value={at}
          aria-valuetext={words}
          onChange={(event) => setAt(Number(event.target.value))}
        />
      </label>
      {rows === null ? (
        <p className="quiet">
          {(track.method.values?.lowPassHz ?? 0) > 0
            ? 'A filter stands in front of it: what it weighed is not computed again.'
            : 'It had nothing to compare at this moment: too little heard, or no noise known yet.'}
        </p>
      ) : (
        <>
          <p className="notes">{ruleOf(rows.weighed)}</p>
          {/* biome-ignore lint/a11y/noNoninteractiveTabindex: a part that scrolls sideways must be reachable by keys */}
          <section className="table-place" aria-label="Candidates" tabIndex={0}>
            <table className="weighed">
              <thead>
                <tr>
                  <th scope="col">candidate, Hz</th>
                  <th scope="col">{scoreWords[rows.weighed.score]}</th>
                  <th scope="col">of the string</th>
                  <th scope="col">room tone beside it</th>
                </tr>
              </thead>
              <tbody>
                {rows.list.map(({ one, tone }) => (
                  <tr key={one.hz}>
                    <th scope="row">
                      <span className={one === rows.taken ? 'bracketed weighed-taken' : 'weighed-other'}>
                        {one.hz.toFixed(1)}
                        {one === rows.taken && ' taken'}
                      </span>
                    </th>
                    <td>{one.score.toFixed(3).replace('-', '\u2212')}</td>
                    <td>{noString || truth === null ? 'no string' : partWords(one.hz, truth.settledHz)}</td>
                    <td>{tone === null ? 'none' : `${plainNumber(tone.hz)} Hz, ${signedCents(tone.cents)} c`}</td>
                  </tr>
                ))}
              </tbody>
            </table>
          </section>
          {rows.list.length === 0 && (
            <p className="quiet">Its curve has no turning point in the range: nothing to take.</p>
          )}
        </>
      )}
    </>
  )
}

/** A tone of the room this near to a candidate may be what made it. */
const nearCents = 60

function toneBy(
  { hz }: Candidate,
  { fromSample, toSample }: Reading,
  noise: Float32Array,
  sampleRateHz: number,
): { hz: number; cents: number } | null {
  const line = strongestLine(noise, sampleRateHz, {
    fromS: fromSample / sampleRateHz,
    toS: toSample / sampleRateHz,
    lowHz: hz * 2 ** (-nearCents / 1200),
    highHz: hz * 2 ** (nearCents / 1200),
  })
  return line === null ? null : { hz: line.hz, cents: centsBetween(line.hz, hz) }
}

const scoreWords: Readonly<Record<Weighed['score'], string>> = {
  difference: 'difference',
  clarity: 'clarity',
  strength: 'strength',
  sum: 'sum',
  evidence: 'nepers over noise',
}

function ruleOf({ score, threshold, candidates }: Weighed): string {
  const shown = candidates.length === 1 ? 'The only candidate.' : `Of ${candidates.length} candidates the foremost.`
  const counted = `${shown} ${score === 'difference' ? 'Lower' : 'Higher'} is likelier.`
  if (score === 'strength') return `${counted} The strongest is taken; each octave lower costs a little.`
  if (score === 'sum') return `${counted} The largest is taken, if it is large enough for the method to answer at all.`
  if (score === 'evidence') {
    return `${counted} Lowest partials over the noise. A search begins at the highest; a string once found is followed, and the candidate nearest the answer is marked.`
  }
  const limit = (threshold ?? 0).toFixed(3)
  return score === 'difference'
    ? `${counted} The deepest point of the first stretch under ${limit}, from the highest pitch down, is taken; else the lowest of all.`
    : `${counted} The first at or over ${limit}, from the highest pitch down, is taken.`
}
