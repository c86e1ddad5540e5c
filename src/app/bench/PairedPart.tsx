/**
 * One method against all others, trial by trial. Computed by the worker that keeps the outcomes, for the column that is
 * shown, anew when figures come in. Methods of the other family stand apart: they were told something else.
 */
import { type ReactNode, useEffect, useState } from 'react'
import type { PairedDifference, PairedFigure } from '../../core/score/paired.ts'
import type { Study } from '../../core/study/study.ts'
import { type PickGroup, PickWord } from '../instruments/PickWord.tsx'
import { namesOf } from '../run/names.ts'
import { comparePairs } from '../run/session.ts'
import type { PairQuestion } from '../run/tally.ts'
import { useBench } from '../store.ts'
import { type Column, ratiosOf } from './columns.ts'
import { familyOf, familyWords } from './families.ts'
import { seconds, signedDb } from './figures.ts'
import { PairedRows, PairedTable } from './PairedPicture.tsx'

const everyRatio = 'all ratios'

export function PairedPart({ study, column }: { study: Study; column: Column }) {
  const as = useBench((state) => state.shown.as)
  const results = useBench((state) => state.results)
  const methods = namesOf(study)
  const [wanted, setReference] = useState<string | null>(null)
  const [figure, setFigure] = useState<PairedFigure>('error')
  const [ratio, setRatio] = useState(everyRatio)
  const reference = wanted !== null && methods.includes(wanted) ? wanted : (methods[0] ?? '')
  const snrDb = ratiosOf(study).find((one) => `${one}` === ratio) ?? null
  const differences = usePairs({ string: column.string, room: column.room, snrDb, reference, figure }, results)
  const room = study.rooms.find(({ id }) => id === column.room)
  const heardS = study.takeS - study.leadS

  if (methods.length < 2) return <p className="quiet">One method has nobody to be compared with.</p>
  const one = (
    title: string | null,
    chosen: string,
    onPick: (id: string) => void,
    ids: readonly string[],
  ): PickGroup => ({
    title,
    chosen,
    onPick,
    picks: ids.map((id) => ({
      id,
      label: wordsFor[id] ?? (id.match(/^-?[\d.]+$/) ? `${signedDb(Number(id))} dB` : id),
    })),
  })
  const families = (['aimed', 'blind'] as const).map((family) => ({
    family,
    ids: methods.filter((id) => familyOf(id) === family),
  }))
  const own = familyOf(reference)
  const groups = [...families].sort((a, b) => Number(b.family === own) - Number(a.family === own))

  return (
    <>
      <p className="sentence pair-sentence">
        Against{' '}
        <PickWord
          word={reference}
          label="Compare with"
          title="Compare with"
          groups={families
            .filter(({ ids }) => ids.length > 0)
            .map(({ family, ids }) => one(familyWords[family], reference, setReference, ids))}
        />
        , by{' '}
        <PickWord
          word={wordsFor[figure]}
          label="Figure"
          title="By"
          groups={[one(null, figure, (id) => setFigure(id as PairedFigure), ['error', 'lock'])]}
        />
        , at{' '}
        <PickWord
          word={snrDb === null ? everyRatio : `${signedDb(snrDb)} dB`}
          label="Ratio"
          title="At"
          groups={[
            one(null, snrDb === null ? everyRatio : `${snrDb}`, setRatio, [everyRatio, ...ratiosOf(study).map(String)]),
          ]}
        />
        , in {column.room}, {column.string}.
      </p>
      {room?.variant === 'no-string' ? (
        <p className="quiet">Nothing is plucked here: there is no pitch to be near to, and no claim can be true.</p>
      ) : (
        <>
          <p className="notes pair-rule">{rule[figure](seconds(heardS))}</p>
          {differences === null ? (
            <p className="quiet" aria-live="polite">
              {results === null ? 'Nothing is computed yet: run the study.' : 'Comparing'}
            </p>
          ) : (
            groups.map(({ family, ids }) => {
              const list = sorted(differences.filter(({ method }) => ids.includes(method)))
              if (list.length === 0) return null
              const title: ReactNode =
                family === own
                  ? familyWords[family]
                  : `${familyWords[family]}, so this is no like-for-like comparison with ${own} ${reference}`
              const shared = { differences: list, reference, figure, heardS }
              return (
                <section key={family} className="pair-group" aria-label={`${family} methods against ${reference}`}>
                  <h3>{title}</h3>
                  {as === 'charts' ? <PairedRows {...shared} /> : <PairedTable {...shared} />}
                </section>
              )
            })
          )}
        </>
      )}
    </>
  )
}

const wordsFor: Readonly<Record<string, string>> = { error: 'size of the error', lock: 'time to a true claim' }

const rule: Readonly<Record<PairedFigure, (heard: string) => string>> = {
  error: () =>
    'Other minus reference in the same trial: median of |error| over its first second, 50 c and more (another note) counted as 50. ' +
    'A trial in which either gives no reading is left out and counted beside. Mark: median, bars: 95 % bootstrap over trials. ' +
    'Told apart: paired sign-flip test of the mean, Holm over all methods here, 5 %.',
  lock: (heard) =>
    `Other minus reference in the same trial. No claim, or a false one, counts as the end of the take (${heard} s): ` +
    'such a difference is at least what is shown. Mark: median, bars: 95 % bootstrap over trials. ' +
    'Told apart: paired sign-flip test of the mean, Holm over all methods here, 5 %.',
}

const sorted = (list: readonly PairedDifference[]): readonly PairedDifference[] =>
  [...list].sort((a, b) => rank(a) - rank(b))
const rank = ({ difference }: PairedDifference): number => (difference.n === 0 ? Number.MAX_VALUE : difference.value)

/** null until the first answer to this question; the last answer stays while figures come in. */
function usePairs(question: PairQuestion, results: unknown): readonly PairedDifference[] | null {
  const [answer, setAnswer] = useState<{ about: string; differences: readonly PairedDifference[] } | null>(null)
  const about = JSON.stringify(question)
  useEffect(() => {
    if (results === null) return
    let gone = false
    void comparePairs(JSON.parse(about) as PairQuestion).then((differences) => {
      if (!gone) setAnswer({ about, differences })
    })
    return () => {
      gone = true
    }
  }, [about, results])
  return answer?.about === about ? answer.differences : null
}
