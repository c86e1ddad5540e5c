/** The same wish under other conditions: a few switches, and what they change, beside the plan as it is. */
import type { Figure } from '../../core/maths/statistics.ts'
import { plainNumber } from '../bench/figures.ts'
import type { PlanAnswer } from './answer.ts'
import { type PlanChoices, requestOf } from './choices.ts'
import { choose } from './session.ts'
import { usePlan } from './store.ts'
import { whatIfIds, whatIfProblem, whatIfWords } from './whatif.ts'
import { headlineOf, stepsOf } from './words.ts'

export function WhatIfPart({ choices }: { choices: PlanChoices }) {
  const { records, heard, answer, answered, planMs, planning } = usePlan()
  const request = requestOf(choices)
  const ids = whatIfIds.map((id) => ({
    id,
    words: whatIfWords(id, request),
    problem: records === null ? 'nothing was recorded yet' : whatIfProblem(id, request, records, heard),
  }))
  const closed = ids.filter(({ problem }) => problem !== null)
  return (
    <section className="plan-whatif" id="plan-what-if" aria-labelledby="plan-what-if-title">
      <h2 id="plan-what-if-title">What if</h2>
      <fieldset className="plan-switches" aria-labelledby="plan-what-if-title">
        {ids.map(({ id, words, problem }) => (
          <button
            key={id}
            type="button"
            className="button"
            disabled={problem !== null}
            aria-pressed={choices.whatIf.includes(id)}
            onClick={() =>
              choose({
                whatIf: choices.whatIf.includes(id)
                  ? choices.whatIf.filter((other) => other !== id)
                  : [...choices.whatIf, id],
              })
            }
          >
            {words}
          </button>
        ))}
      </fieldset>
      {closed.length > 0 && (
        <p className="notes">{closed.map(({ words, problem }) => `${words}: ${problem}`).join('. ')}.</p>
      )}
      {answer?.changed != null && answered !== null && (
        <Difference answer={answer} choices={answered} ms={planning ? Number.NaN : planMs} />
      )}
    </section>
  )
}

function Difference({ answer, choices, ms }: { answer: PlanAnswer; choices: PlanChoices; ms: number }) {
  const { base, changed, asked } = answer
  if (changed === null) return null
  const { bold, rest } = headlineOf(changed.told)
  const words = asked.map((id) => whatIfWords(id, requestOf(choices))).join(', ')
  const percent = (value: number): string => `${Math.round(100 * value)}`
  const seconds = (value: number): string => `${Math.round(value)}`
  const rows: readonly (readonly [string, string, Figure, Figure, (value: number) => string])[] = [
    ['all verified in time', '%', base.told.chance, changed.told.chance, percent],
    ['time in nine runs of ten', 's', base.told.timeP90S, changed.told.timeP90S, seconds],
    ['worst string left', 'c', base.told.worstP95Cents, changed.told.worstP95Cents, plainNumber],
    ['a string stays unverified', '%', base.told.unverified.chance, changed.told.unverified.chance, percent],
  ]
  const steps = stepsOf(
    { stages: changed.told.stages, verified: changed.stepsS.length > changed.told.stages.length },
    changed.stepsS,
    { strings: changed.told.unverified.strings.length, undershootCents: 0, morePasses: 0 },
  )
  return (
    <div className="plan-difference" role="status">
      <p>
        <strong>With {words}:</strong> {bold} {rest}
      </p>
      <table>
        <thead>
          <tr>
            <th scope="col">
              <span className="unseen">figure</span>
            </th>
            <th scope="col">as it is</th>
            <th scope="col">with it</th>
          </tr>
        </thead>
        <tbody>
          {rows.map(([name, unit, before, after, write]) => (
            <tr key={name}>
              <th scope="row">{name}</th>
              <td>
                {write(before.value)} {unit}{' '}
                <span className="notes">{`${write(before.low)} to ${write(before.high)}`}</span>
              </td>
              <td>
                <strong>
                  {write(after.value)} {unit}
                </strong>{' '}
                <span className="notes">{`${write(after.low)} to ${write(after.high)}`}</span>
              </td>
            </tr>
          ))}
        </tbody>
      </table>
      <p className="notes">
        Then: {steps.map(({ before, bold: word }) => `${before}${word}`).join(', ')}. n {changed.told.chance.n} runs
        each
        {Number.isFinite(ms) && `, worked out in ${Math.round(ms)} ms`}.
      </p>
    </div>
  )
}
