/** One trial, opened from a point of the bench: the address names study, trial and method, so a link opens it too. */
import { lazy, Suspense, useEffect, useState } from 'react'
import type { Recordings } from '../../core/scene/scene.ts'
import { trialCount } from '../../core/study/record.ts'
import { routeHash, useRoute, visit } from '../router.ts'
import { namesOf } from '../run/names.ts'
import { recordingsOf } from '../run/recordings.ts'
import { useBench } from '../store.ts'
import type { Page } from './page.ts'

/** Fetched when the first trial is opened: the bench does without it. */
const TrialView = lazy(async () => ({ default: (await import('../trial/TrialView.tsx')).TrialView }))

function TrialPage() {
  const { query } = useRoute()
  const study = useBench((state) => state.study)
  const opening = useBench((state) => state.phase === 'opening')
  const [recordings, setRecordings] = useState<Recordings | null>(null)
  const [problem, setProblem] = useState<string | null>(null)
  const index = Number(query.trial)
  const method = namesOf(study).find((name) => name === query.method) ?? namesOf(study)[0] ?? ''
  const known = Number.isInteger(index) && index >= 0 && index < trialCount(study)

  useEffect(() => {
    let gone = false
    recordingsOf(study).then(
      (found) => {
        if (!gone) setRecordings(found)
      },
      (cause: unknown) => {
        if (!gone) setProblem(cause instanceof Error ? cause.message : String(cause))
      },
    )
    return () => {
      gone = true
    }
  }, [study])

  const { trial: _trial, method: _method, ...rest } = query
  const onBack = (): void => visit(routeHash('', rest))
  const onStep = (next: number): void => {
    if (next >= 0 && next < trialCount(study)) visit(routeHash('trial', { ...query, trial: `${next}` }))
  }
  const wrong = known
    ? problem
    : `Trial ${query.trial ?? ''} is not in this study: it has 0 to ${trialCount(study) - 1}.`
  if (opening) return <main className="content">Opening the study</main>
  if (wrong !== null) {
    return (
      <main className="content">
        <h1>Trial</h1>
        <div className="problem" role="alert">
          {wrong}
          <button type="button" className="button" onClick={onBack}>
            Back to the bench
          </button>
        </div>
      </main>
    )
  }
  return (
    <Suspense fallback={<main className="content">Opening the trial</main>}>
      {recordings !== null && (
        <TrialView
          study={study}
          recordings={recordings}
          index={index}
          method={method}
          onBack={onBack}
          onStep={onStep}
        />
      )}
    </Suspense>
  )
}

export const trialPage: Page = { path: 'trial', title: null, Page: TrialPage }
