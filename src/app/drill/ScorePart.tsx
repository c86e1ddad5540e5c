/** How an attempt stood against the best way on its seed, and why. */
import type { Exercise } from '../../core/drill/exercise.ts'
import type { DrillScore } from '../../core/drill/score.ts'
import { centsWord, faultFigure, faultSentence, secondsWord, toldFaults, verdictWords } from './words.ts'

export function ScorePart({ exercise, score }: { exercise: Exercise; score: DrillScore }) {
  const { timeS, worstCents, bestTimeS, bestWorstCents, faults, restS, passed } = score
  const undone = score.undone === 1 ? 'one string not done' : `${score.undone} strings not done`
  return (
    <section className="drill-score" aria-label="Score">
      <h2>This attempt</h2>
      <p className="drill-verdict">
        <strong>{passed ? 'Passed: ' : 'Not passed: '}</strong>
        {verdictWords(score)}
        {score.undone > 0 ? `, ${undone}` : ''}.
      </p>
      <ul className="drill-faults">
        {toldFaults(faults).map((told) => (
          <li key={`${told.fault.kind} ${told.fault.string} ${told.fault.method} ${told.fault.seconds}`}>
            <strong>{faultFigure(told.fault)}</strong> {faultSentence(told, exercise)}
          </li>
        ))}
        {restS >= 0.05 && (
          <li>
            <strong>{secondsWord(restS)}</strong> went into moves slower than the reckoned hand’s, or plucks it did not
            need.
          </li>
        )}
      </ul>
      <table className="drill-figures">
        <thead>
          <tr>
            <th scope="col">
              <span className="unseen">Figure</span>
            </th>
            <th scope="col">you</th>
            <th scope="col">best way</th>
          </tr>
        </thead>
        <tbody>
          <tr>
            <th scope="row">time</th>
            <td>{secondsWord(timeS)}</td>
            <td>{secondsWord(bestTimeS)}</td>
          </tr>
          <tr>
            <th scope="row">worst string</th>
            <td>{centsWord(worstCents)}</td>
            <td>{centsWord(bestWorstCents)}</td>
          </tr>
        </tbody>
      </table>
      <p className="notes">
        The best way was played on the same strings by methods that listen to them. Its hand takes 0.8 s to find, mute
        and pluck, 0.35 s to react, and turns 60° a second (assumptions) without a slip.
      </p>
    </section>
  )
}
