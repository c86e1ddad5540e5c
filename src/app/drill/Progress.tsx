/** The exercises in their order, the last ten attempts at the present one, and what was done before, to be seen again. */
import type { Exercise } from '../../core/drill/exercise.ts'
import { exercises } from '../../core/drill/exercises.ts'
import { exerciseCode } from '../../core/drill/link.ts'
import { attemptsCounted, isMastered, passesNeeded, passesOf } from '../../core/drill/progress.ts'
import { choose, replay } from './attempt.ts'
import { useDrill } from './drillstore.ts'
import type { Kept } from './keep.ts'
import { centsWord, secondsWord } from './words.ts'

/** Attempts at this very exercise, oldest first: one that a teacher changed is another. */
export function attemptsAt(kept: readonly Kept[], exercise: Exercise): readonly Kept[] {
  const code = exerciseCode(exercise)
  return kept.filter((one) => one.exercise === exercise || exerciseCode(one.exercise) === code)
}

const passedIn = (kept: readonly Kept[], exercise: Exercise): boolean[] =>
  attemptsAt(kept, exercise).map(({ passed }) => passed)

export function LastTen({ exercise }: { exercise: Exercise }) {
  const kept = useDrill((state) => state.kept)
  const attempts = attemptsAt(kept, exercise).slice(-attemptsCounted)
  if (attempts.length === 0) return null
  const passes = passesOf(attempts.map(({ passed }) => passed))
  const most = Math.max(2 * exercise.passS, ...attempts.map(({ lostS }) => lostS), 1)
  const next = exercises[exercises.findIndex(({ id }) => id === exercise.id) + 1]
  const mastered = isMastered(attempts.map(({ passed }) => passed))
  return (
    <section className="drill-ten" aria-label="Last ten attempts">
      <h2>Last ten</h2>
      <div className="drill-bars" style={{ '--pass': `${(100 * exercise.passS) / most}%` } as React.CSSProperties}>
        <span className="drill-pass notes" aria-hidden="true">
          pass under {secondsWord(exercise.passS)}
        </span>
        <ol>
          {attempts.map(({ at, lostS, passed }) => (
            <li key={at}>
              <i
                className={passed ? 'passed' : 'missed'}
                style={{ height: `${Math.max(6, (100 * lostS) / most)}%` }}
                aria-hidden="true"
              />
              <span>
                {lostS.toFixed(1)}
                <span className="unseen">{passed ? ' seconds behind, passed' : ' seconds behind, not passed'}</span>
              </span>
            </li>
          ))}
        </ol>
      </div>
      <p className="quiet">
        Seconds lost; hatched: not passed. {passes} of {attemptsCounted} passed; {passesNeeded} to move on.
      </p>
      {mastered && next !== undefined && (
        <button type="button" className="button" onClick={() => choose(next)}>
          Next: {next.title}
        </button>
      )}
    </section>
  )
}

export function ExerciseList({ exercise }: { exercise: Exercise }) {
  const kept = useDrill((state) => state.kept)
  return (
    <section className="drill-list" aria-label="Exercises">
      <h2>Exercises</h2>
      <ol>
        {exercises.map((one, at) => {
          const passed = passedIn(kept, one)
          const current = one.id === exercise.id
          return (
            <li key={one.id}>
              <button type="button" className="drill-pick" aria-current={current} onClick={() => choose(one)}>
                <span className={current ? 'bracketed' : ''}>
                  {at + 1}. {one.title}
                </span>
                <span className="quiet">
                  {passed.length === 0
                    ? 'not tried yet'
                    : `${passesOf(passed)} of ${attemptsCounted}${isMastered(passed) ? ', done' : ''}`}
                </span>
              </button>
            </li>
          )
        })}
      </ol>
      <p className="notes">Nine of the last ten passed, and the next one is due. You may open any.</p>
    </section>
  )
}

const mostShown = 12

export function History() {
  const kept = useDrill((state) => state.kept)
  const refused = useDrill((state) => state.refused)
  if (kept.length === 0) return null
  return (
    <section className="drill-history" aria-label="Attempts so far">
      <h2>Attempts so far</h2>
      {refused && <p>The browser keeps none of them: they are gone when the page is closed.</p>}
      <table>
        <thead>
          <tr>
            <th scope="col">exercise</th>
            <th scope="col">behind</th>
            <th scope="col">passed</th>
            <th scope="col">
              <span className="unseen">Replay</span>
            </th>
          </tr>
        </thead>
        <tbody>
          {[...kept]
            .reverse()
            .slice(0, mostShown)
            .map((one) => (
              <tr key={one.at}>
                <th scope="row">{one.exercise.title}</th>
                <td>
                  {secondsWord(one.lostS)}, {centsWord(one.lostCents)}
                </td>
                <td>{one.passed ? 'yes' : 'no'}</td>
                <td>
                  <button type="button" className="button" onClick={() => void replay(one)}>
                    Replay<span className="unseen"> {new Date(one.at).toLocaleString('en-GB')}</span>
                  </button>
                </td>
              </tr>
            ))}
        </tbody>
      </table>
    </section>
  )
}
