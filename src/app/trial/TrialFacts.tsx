/** Figures of this trial, and its two files: what was heard, and the scene that makes it again. */
import type { Study } from '../../core/study/study.ts'
import { seconds } from '../bench/figures.ts'
import { placeWords } from './sentence.ts'
import type { SeenTrial } from './useTrial.ts'

const decibels = (db: number, places = 1): string => {
  if (!Number.isFinite(db)) return 'no value'
  const rounded = Number(db.toFixed(places))
  const text = Math.abs(rounded).toFixed(places)
  return rounded === 0 ? text : `${rounded > 0 ? '+' : '−'}${text}`
}

export function TrialFacts({ study, seen, chosen }: { study: Study; seen: SeenTrial; chosen: string }) {
  const { replay, examination } = seen
  const { wholeRatioDb, ratios, partials, tone, firstBounds } = examination
  const bound = firstBounds[chosen]
  const six = partials.filter(({ k, ratioDb }) => k <= 6 && Number.isFinite(ratioDb)).map(({ ratioDb }) => ratioDb)
  const noString = replay.scene.noString
  const rows: readonly (readonly [string, string])[] = [
    [
      'string over room, first second',
      `${decibels(noString ? (replay.scene.room?.snrDb ?? replay.trial.snrDb) : wholeRatioDb, 2)} dB`,
    ],
    [
      `at ${ratios.map(({ atS }) => atS).join(', ')} s`,
      noString ? 'no string sounds' : `${ratios.map(({ ratioDb }) => decibels(ratioDb)).join(', ')} dB`,
    ],
    [
      'partials 1 to 6, within 50 c',
      six.length === 0 || noString
        ? 'not known'
        : `${decibels(Math.min(...six), 0)} to ${decibels(Math.max(...six), 0)} dB`,
    ],
    [
      `bound, first ${seconds(bound?.windowS ?? Number.NaN)} s`,
      bound === undefined || !Number.isFinite(bound.cents) ? 'not known' : `${Number(bound.cents.toPrecision(2))} c`,
    ],
    ['room’s tone', tone === null ? 'none stands out' : `${tone.hz.toFixed(1)} Hz, ${placeWords(tone)}`],
    ['methods know the room', study.roomLearnt ? 'yes' : 'no'],
    ['seed of the scene', `${replay.scene.seed}`],
  ]
  return (
    <dl className="facts">
      {rows.map(([name, value]) => (
        <div key={name}>
          <dt>{name}</dt>
          <dd>{value}</dd>
        </div>
      ))}
    </dl>
  )
}
