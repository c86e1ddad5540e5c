/** The Plan page: wishes on the left, what they come to on the right, what it stands on below. */
import { useEffect, useState } from 'react'
import { createPortal } from 'react-dom'
import { duration } from '../bench/figures.ts'
import { copyLink } from '../copyLink.ts'
import '../style/plan.css'
import '../style/planwishes.css'
import '../style/planresult.css'
import '../style/planfrontier.css'
import '../style/planhand.css'
import '../style/plancard.css'
import { Card, type Paper } from './Card.tsx'
import { CardDialog } from './CardDialog.tsx'
import { FrontierPart } from './FrontierPart.tsx'
import { HandPart } from './HandPart.tsx'
import { PlanSentence } from './PlanSentence.tsx'
import { RecordsLine, RecordsPart } from './RecordsPart.tsx'
import { ResultPart } from './ResultPart.tsx'
import { fewestIn } from './records.ts'
import { choose, startPlan } from './session.ts'
import { type PlanState, usePlan } from './store.ts'
import { TimePart, TruePart } from './TimePart.tsx'
import { WhatIfPart } from './WhatIfPart.tsx'

export function PlanView() {
  const state = usePlan()
  const [paper, setPaper] = useState<Paper>('a6')
  const { choices, answer, answered, records, problem, notice, planMs, planning } = state
  useEffect(startPlan, [])
  const plucks = records === null ? 0 : fewestIn(records)
  const card =
    answer === null || answered === null
      ? null
      : {
          side: answer.base,
          choices: answered,
          plucks,
          from: state.loaded === null ? null : `${choices.room.id} (${state.loaded.name})`,
        }
  return (
    <main className="content plan">
      <div className="page-head">
        <h1>Plan</h1>
        <p className="quiet question">Which method first, when to switch, when to stop, what is left?</p>
      </div>
      {notice !== null && (
        <p className="problem" role="alert">
          {notice}
        </p>
      )}
      <PlanSentence />
      <RecordsLine />
      <div className="plan-main">
        <div className="plan-wishes">
          <TimePart />
          <TruePart />
        </div>
        <div className="plan-answer" aria-busy={planning}>
          {problem !== null && <ProblemBox state={state} />}
          {card === null
            ? problem === null && <Waiting state={state} />
            : problem === null && <ResultPart side={card.side} choices={card.choices} />}
          <WhatIfPart choices={choices} />
        </div>
        {card !== null && (
          <div className="plan-below">
            <FrontierPart side={card.side} />
          </div>
        )}
      </div>
      <div className="plan-folds">
        <HandPart choices={choices} />
        <RecordsPart choices={choices} />
      </div>
      <div className="plan-bar">
        {card !== null && <CardDialog {...card} paper={paper} onPaper={setPaper} />}
        <CopyLink />
        <button
          type="button"
          className="button tall"
          onClick={() => document.getElementById('plan-what-if')?.scrollIntoView({ block: 'center' })}
        >
          What if
        </button>
        <p className="notes plan-bar-words">
          {card !== null && `n ${card.side.told.chance.n} runs, seed ${card.side.told.seed}`}
          {Number.isFinite(planMs) && `, worked out in ${Math.round(planMs)} ms`}
        </p>
      </div>
      {card !== null && createPortal(<PrintedCard {...card} paper={paper} />, document.body)}
    </main>
  )
}

/** Beside the page, seen by the printer only. */
function PrintedCard(props: Parameters<typeof Card>[0]) {
  return (
    <div className="plan-printed" aria-hidden="true">
      <Card {...props} />
    </div>
  )
}

/** Nothing can be said yet. */
function Waiting({ state: { phase, etaS, trialsDone } }: { state: PlanState }) {
  return (
    <p className="plan-waiting">
      {phase === 'idle' && trialsDone === 0
        ? 'Nothing was recorded for this yet: press Go on.'
        : 'Plucking every string at every ratio: a first, provisional plan comes after the second time.'}
      {phase === 'running' && Number.isFinite(etaS) && <span className="quiet"> All plucks in {duration(etaS)}.</span>}
    </p>
  )
}

/** Field, value, limit, and one repair. */
function ProblemBox({ state: { problem, choices, loaded, records } }: { state: PlanState }) {
  const { snrDb, snrsDb } = choices
  const lacking = problem?.where === 'snrDb' && !snrsDb.includes(snrDb) && loaded === null
  const highest = records?.snrsDb.at(-1)
  return (
    <div className="problem" role="alert">
      <p>{problem?.text}.</p>
      {lacking && (
        <button
          type="button"
          className="button"
          onClick={() => choose({ snrsDb: [...snrsDb, snrDb].sort((a, b) => a - b) })}
        >
          Record {snrDb} dB too
        </button>
      )}
      {loaded !== null && highest !== undefined && problem?.where === 'snrDb' && (
        <button type="button" className="button" onClick={() => choose({ snrDb: highest })}>
          Plan at {highest} dB
        </button>
      )}
    </div>
  )
}

function CopyLink() {
  const [copied, setCopied] = useState(false)
  useEffect(() => {
    if (!copied) return
    const timer = setTimeout(() => setCopied(false), 3000)
    return () => clearTimeout(timer)
  }, [copied])
  const copy = async (): Promise<void> => setCopied(await copyLink('The link to this plan'))
  return (
    <button type="button" className="button tall" onClick={() => void copy()}>
      {copied ? 'Copied' : 'Copy link'}
    </button>
  )
}
