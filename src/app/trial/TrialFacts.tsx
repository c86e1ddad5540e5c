/** Figures of this trial: how string and room stood, moment by moment and partial by partial. */
import { levelMomentsS } from '../../core/study/levels.ts'
import type { Study } from '../../core/study/study.ts'
import { seconds, signedCents } from '../bench/figures.ts'
import { PartialBars } from './PartialBars.tsx'
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
  const { levels } = replay
  const { partials, tone, firstBounds } = examination
  const bound = firstBounds[chosen]
  const noString = replay.scene.noString
  const moments = levels.ratioAtDb.flatMap((db, i) => (Number.isFinite(db) ? [{ atS: levelMomentsS[i], db }] : []))
  const rows: readonly (readonly [string, string])[] = [
    [
      'string over room, first second',
      `${decibels(noString ? (replay.scene.room?.snrDb ?? replay.trial.snrDb) : levels.ratioDb, 2)} dB`,
    ],
    [
      moments.length === 0 ? 'as the string fades' : `at ${moments.map(({ atS }) => atS).join(', ')} s`,
      noString
        ? 'no string sounds'
        : moments.length === 0
          ? 'not known'
          : `${moments.map(({ db }) => decibels(db)).join(', ')} dB`,
    ],
    [
      'partials: median, least',
      Number.isFinite(levels.inBandMinDb)
        ? `${decibels(levels.inBandMedianDb)}, ${decibels(levels.inBandMinDb)} dB`
        : 'not known',
    ],
    [
      `bound, first ${seconds(bound?.windowS ?? Number.NaN)} s`,
      bound === undefined || !Number.isFinite(bound.cents) ? 'not known' : `${Number(bound.cents.toPrecision(2))} c`,
    ],
    [
      'strongest foreign line',
      Number.isFinite(levels.foreignHz)
        ? `${levels.foreignHz.toFixed(1)} Hz, ${signedCents(levels.foreignCents)} c from the note`
        : 'none stands out',
    ],
    ...(tone === null ? [] : [['which lies', placeWords(tone)] as const]),
    ['methods know the room', study.roomLearnt ? 'yes' : 'no'],
    ['seed of the scene', `${replay.scene.seed}`],
  ]
  return (
    <>
      <dl className="facts">
        {rows.map(([name, value]) => (
          <div key={name}>
            <dt>{name}</dt>
            <dd>{value}</dd>
          </div>
        ))}
      </dl>
      {!noString && <PartialBars partials={partials} />}
    </>
  )
}
