/** Run, cancel, and how far it is: whole repeats done everywhere, and what is left. */
import { cancel, openStudy, run } from '../run/session.ts'
import { useBench } from '../store.ts'
import { fewestForInterval } from './columns.ts'
import { counted, duration } from './figures.ts'
import { ProgressBar } from './ProgressBar.tsx'

/** `short`: beside other buttons on a phone. */
export function RunButton({ short = false }: { short?: boolean }) {
  const phase = useBench((state) => state.phase)
  const left = useBench((state) => state.trialsTotal - state.trialsDone)
  const repeats = useBench((state) => state.study.repeats)
  const begun = useBench((state) => state.trialsDone > 0)
  if (phase === 'running') {
    return (
      <button type="button" className="button tall" onClick={cancel}>
        Cancel
      </button>
    )
  }
  if (phase === 'idle') {
    return (
      <button type="button" className="button main" onClick={() => void run()}>
        {short ? 'Run' : begun ? `Run ${left} more` : `Run ${counted(left, 'trial')}`}
      </button>
    )
  }
  const lacking = fewestForInterval - repeats
  if (phase === 'done' && lacking > 0) {
    return (
      <button type="button" className="button tall" onClick={() => void runMore(lacking)}>
        {short ? `${lacking} more` : lacking === 1 ? 'Once more' : `${lacking} more times`}
      </button>
    )
  }
  return null
}

/** What is there stays: only the new repeats are computed. */
async function runMore(times: number): Promise<void> {
  const { study } = useBench.getState()
  await openStudy({ ...study, id: 'own', repeats: study.repeats + times })
  await run()
}

export function Progress() {
  const { phase, trialsDone, trialsTotal } = useBench()
  if (phase === 'done') {
    return (
      <div className="progress">
        <ProgressWords />
      </div>
    )
  }
  return (
    <div className="progress">
      <ProgressBar label="Trials done" done={trialsDone} total={trialsTotal} />
      <ProgressWords />
    </div>
  )
}

/** "13 of 20 times each, 1 min 10 s left". */
export function ProgressWords() {
  const { phase, trialsDone, trialsTotal, etaS, study } = useBench()
  const cells = Math.max(1, trialsTotal / study.repeats)
  const everywhere = Math.floor(trialsDone / cells)
  if (phase === 'opening') return <p className="progress-words">Opening the study</p>
  if (phase === 'done')
    return (
      <p className="progress-words">
        <strong>{counted(trialsTotal, 'trial')}</strong> all done
      </p>
    )
  return (
    <p className="progress-words">
      <strong>
        {everywhere} of {study.repeats} times
      </strong>{' '}
      each
      {phase === 'running' && Number.isFinite(etaS) && `, ${duration(etaS)} left`}
      {phase === 'idle' && trialsDone > 0 && ', stopped'}
    </p>
  )
}
