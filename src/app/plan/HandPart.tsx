/** The hand that tunes, figure by figure: each says whether it is an assumption, changed, or measured on a real instrument. */
import { useEffect } from 'react'
import { defaultHand, defaultWork, type Hand, handFields, type Work, workFields } from '../../core/plan/hand.ts'
import { Fold } from '../bench/Fold.tsx'
import { plainNumber } from '../bench/figures.ts'
import { FieldInput } from '../choices/Ticks.tsx'
import { routeHash } from '../router.ts'
import { type PlanChoices, sourceOf } from './choices.ts'
import { restoreHand, stepOf, useMeasuredHand } from './measuredhand.ts'
import { choose } from './session.ts'

const handTitles: Readonly<Record<keyof Hand, string>> = {
  pluckS: 'Find, mute, pluck',
  reactionS: 'React',
  turnStartS: 'Begin a turn',
  turnDegPerS: 'Turn the peg',
  turnGainSd: 'Spread of a turn',
  pegStepDeg: 'Rest of the peg',
  undershootCents: 'Under pitch first',
  backlashDeg: 'Backlash',
  startMeanCents: 'Start, on average',
  startSdCents: 'Start, apart',
}

const workTitles: Readonly<Record<keyof Work, string>> = {
  coupling: 'Pull, fixed bridge',
  bridgeNPerMm: 'Springs, floating bridge',
  morePasses: 'Passes more',
  unevenDb: 'Uneven plucks',
  timeOutS: 'Give a pluck up',
  matrixErrorShare: 'Pull not known',
}

const names = <T extends object>(values: T): (keyof T)[] => Object.keys(values) as (keyof T)[]
export function HandPart({ choices }: { choices: PlanChoices }) {
  const measured = useMeasuredHand((state) => state.measured)
  useEffect(restoreHand, [])
  const { hand, work } = choices
  const sources = names(handFields).map((name) => sourceOf(choices, name))
  const count = (source: string): number => sources.filter((one) => one === source).length
  const parts = [
    [count('measured'), `measured, n ${choices.measured?.n ?? 0}`] as const,
    [count('changed'), 'changed'] as const,
    [count('assumption'), 'assumptions'] as const,
  ].filter(([many]) => many > 0)
  const isUsed = JSON.stringify(measured) === JSON.stringify(choices.measured)
  return (
    <Fold
      title="My hand"
      question={`${parts.map(([many, word]) => `${many} ${word}`).join(', ')}${measured !== null && !isUsed ? '; your own is measured and not in use' : ''}`}
    >
      {() => (
        <div className="plan-hand">
          <p className="quiet">
            Every figure that is not measured is an assumption. A slider is no peg: fifteen turns of a real one tell
            more.
          </p>
          <div className="plan-buttons">
            <a className="button" href={routeHash('hand', { instrument: choices.instrument.id })}>
              {measured === null ? 'Measure my hand' : 'Measure it again'}
            </a>
            {measured !== null && !isUsed && (
              <button
                type="button"
                className="button"
                onClick={() => choose({ measured, hand: { ...hand, ...measured.hand } })}
              >
                Use my measured hand, n {measured.n}
              </button>
            )}
            <button
              type="button"
              className="button"
              disabled={
                parts.length === 1 && count('assumption') > 0 && JSON.stringify(work) === JSON.stringify(defaultWork)
              }
              onClick={() => choose({ measured: null, hand: defaultHand, work: defaultWork })}
            >
              Back to the assumptions
            </button>
          </div>
          <div className="fields">
            {names(handFields).map((name) => (
              <div key={name} className="plan-field">
                <FieldInput
                  title={handTitles[name]}
                  field={handFields[name]}
                  value={hand[name]}
                  step={stepOf(handFields[name])}
                  onValue={(value) => {
                    if (value !== hand[name]) choose({ hand: { ...hand, [name]: value } })
                  }}
                />
                <p className="plan-source">{sourceWords(choices, name)}</p>
              </div>
            ))}
          </div>
          <h3>The work</h3>
          <div className="fields">
            {names(workFields).map((name) => (
              <div key={name} className="plan-field">
                <FieldInput
                  title={workTitles[name]}
                  field={workFields[name]}
                  value={work[name]}
                  step={stepOf(workFields[name])}
                  onValue={(value) => {
                    if (value !== work[name]) choose({ work: { ...work, [name]: value } })
                  }}
                />
                <p className="plan-source">
                  {work[name] === defaultWork[name] ? 'assumption' : `changed, assumed was ${defaultWork[name]}`}
                </p>
              </div>
            ))}
          </div>
          <button
            type="button"
            className="button plan-offsets"
            aria-pressed={choices.offsetsKnown}
            onClick={() => choose({ offsetsKnown: !choices.offsetsKnown })}
          >
            What each method reads in quiet is known of these very strings
          </button>
          <p className="notes">
            Taken on the string itself and subtracted there. On other strings, or another set, it makes things worse.
          </p>
        </div>
      )}
    </Fold>
  )
}

function sourceWords(choices: PlanChoices, name: keyof Hand): string {
  const source = sourceOf(choices, name)
  if (source === 'assumption') return 'assumption'
  if (source === 'changed') return `changed, assumed was ${plainNumber(defaultHand[name])}`
  const ends = choices.measured?.intervals[name]
  const n = choices.measured?.n ?? 0
  return ends === undefined
    ? `measured, n ${n}`
    : `measured, ${plainNumber(ends[0])} to ${plainNumber(ends[1])}, n ${n}`
}

/** "hand: assumptions", as it stands on the card. */
export function handWords(choices: PlanChoices): string {
  const sources = new Set(names(handFields).map((name) => sourceOf(choices, name)))
  if (sources.has('measured')) return `hand measured, n ${choices.measured?.n ?? 0}`
  return sources.has('changed') ? 'hand set by hand' : 'hand assumed'
}
