/**
 * The plan on one page of paper, A6 or A4, black on white: what to do in order, what each string answers to the peg, what it comes
 * to. It always stands in the page, out of sight, so that the browser's own print prints it too.
 */
import { instrumentFigures } from '../../core/instruments/figures.ts'
import { fewestPlucks } from '../../core/plan/records.ts'
import { noteOf } from '../../core/study/instrumentstrings.ts'
import { listed, plainNumber, signedDb } from '../bench/figures.ts'
import type { PlanSide } from './answer.ts'
import type { PlanChoices } from './choices.ts'
import { handWords } from './HandPart.tsx'
import { StepSentence, stepsFor } from './ResultPart.tsx'
import { cents, lackingWords, weakestOf } from './words.ts'

export type Paper = 'a6' | 'a4'

/** More strings have no columns on an A6. */
const mostInTable = 8

export function Card(props: {
  side: PlanSide
  choices: PlanChoices
  plucks: number
  paper: Paper
  from: string | null
}) {
  const { side, choices, plucks, paper, from } = props
  const { told } = side
  const { instrument, budgetS, withinCents, room, snrDb } = choices
  const steps = stepsFor(side, choices)
  const strings = told.unverified.strings
  const answers = degreesOf(choices)
  const lacking = lackingWords(plucks, fewestPlucks)
  const percent = (share: number): string => `${Math.round(100 * share)}`
  const { chance, timeP90S, worstP95Cents } = told
  const weakest = chance.value === 1 ? [] : weakestOf(strings)
  // Four steps, three and what is not reached, or a title of two lines leave no room for more at that size.
  const dense = steps.length > (told.verdict === 'infeasible' ? 2 : 3) || instrument.title.length > 26
  return (
    <article className={`plan-card ${paper}${dense ? ' dense' : ''}`} aria-label="The card">
      <header>
        <h2>{instrument.title}</h2>
        <p>
          {from ?? room.id}, {signedDb(snrDb)} dB{choices.bridge === 'floating' && ', floating bridge'}.{' '}
          <strong>
            {budgetS} s, within ±{cents(withinCents)}&nbsp;c.
          </strong>
        </p>
      </header>
      <ol>
        {steps.map((step, at) => (
          <li key={`${step.bold} ${step.detail}`}>
            <span className="card-number">{at + 1}</span>
            <div>
              <StepSentence step={step} />
              <p className="card-detail">{step.detail}</p>
            </div>
            {Number.isFinite(step.timeS) && <span className="card-time">{Math.round(step.timeS)} s</span>}
          </li>
        ))}
      </ol>
      {answers !== null && answers.length <= mostInTable && (
        <table>
          <thead>
            <tr>
              <th scope="col">string</th>
              {strings.map(({ string }) => (
                <th key={string} scope="col">
                  {noteOf({ id: string })}
                </th>
              ))}
            </tr>
          </thead>
          <tbody>
            <tr>
              <th scope="row">c a degree</th>
              {answers.map(({ id, centsPerDegree }) => (
                <td key={id}>{centsPerDegree.toFixed(1)}</td>
              ))}
            </tr>
          </tbody>
        </table>
      )}
      <p className="card-figures">
        {told.verdict === 'infeasible' ? (
          <>
            <strong>{told.neededS === null ? 'Not reached:' : 'Not enough time:'}</strong> {told.sentences[0]}
          </>
        ) : (
          <>
            <strong>{percent(chance.value)} in 100</strong> ({percent(chance.low)} to {percent(chance.high)}) verified
            in time. <strong>{Math.round(timeP90S.value)} s</strong> in nine runs of ten. Worst string left{' '}
            <strong>{plainNumber(worstP95Cents.value)} c</strong>.
            {weakest.length > 0 &&
              weakest.length <= 3 &&
              ` ${listed(weakest)} ${weakest.length === 1 ? 'is the one' : 'are the ones'} to look at.`}
          </>
        )}
      </p>
      <p className="card-late">
        <strong>Not done at {budgetS} s?</strong> Name the unverified strings at the hand-over.
      </p>
      <footer>
        <span>{lacking === null ? `${plucks} plucks a cell` : `provisional, ${lacking}`}</span>
        <span>
          n {chance.n}, seed {told.seed}, {handWords(choices)}
        </span>
      </footer>
    </article>
  )
}

/** Strings as they stand on the instrument, lowest first; null: no figures. */
function degreesOf({ instrument }: PlanChoices): { id: string; centsPerDegree: number }[] | null {
  try {
    return instrumentFigures(instrument)
      .strings.map(({ number, centsPerDegree }) => ({ id: `${number}`, centsPerDegree: centsPerDegree.value }))
      .reverse()
  } catch {
    return null
  }
}
