/** The Drill: a virtual peg, strings that are heard by real methods, a clock, and what the best way would have done. */
import { useEffect, useRef } from 'react'
import type { Exercise } from '../../core/drill/exercise.ts'
import { exercises } from '../../core/drill/exercises.ts'
import { exerciseCode, exerciseOfCode } from '../../core/drill/link.ts'
import { drillStrings } from '../../core/drill/strings.ts'
import { instrumentById } from '../../core/instruments/podium.ts'
import { Problem } from '../../core/problem.ts'
import { knownRooms } from '../../core/study/presets.ts'
import { MarkIcon } from '../bench/slots.tsx'
import { routeHash, useRoute } from '../router.ts'
import { choose, fetchKept, goOn, leave, letGo, pluck, replay, start, stop, switchMethod } from './attempt.ts'
import { type Phase, useDrill } from './drillstore.ts'
import { attemptsAt, ExerciseList, History, LastTen } from './Progress.tsx'
import { Readout } from './Readout.tsx'
import { ScorePart } from './ScorePart.tsx'
import { SoundPart } from './SoundPart.tsx'
import { TeacherForm } from './TeacherForm.tsx'
import { TurningField } from './TurningField.tsx'
import { useDrillKeys } from './useDrillKeys.ts'
import { displayWords, methodWord, stringTitles, titleOf } from './words.ts'
import '../style/live.css'
import '../style/drill.css'
import '../style/drillreadout.css'
import '../style/drillprogress.css'
import '../style/drillform.css'

export function DrillView() {
  const { query } = useRoute()
  const exercise = useDrill((state) => state.exercise)
  const phase = useDrill((state) => state.phase)
  const inHand = useDrill((state) => state.inHand)
  const method = useDrill((state) => state.method)
  const problem = useDrill((state) => state.problem)
  const note = useDrill((state) => state.note)
  const best = useDrill((state) => state.best)
  const score = useDrill((state) => state.score)
  const main = useRef<HTMLElement | null>(null)
  const running = phase === 'running'
  const titles = stringTitles(exercise)

  useEffect(() => {
    void fetchKept()
    return leave
  }, [])
  useEffect(() => {
    if (query.exercise !== undefined) open(query.exercise)
  }, [query.exercise])
  useDrillKeys(titles.length, running)
  // The keys go to the peg as soon as it can be turned.
  useEffect(() => {
    if (running) main.current?.querySelector<HTMLElement>('.drill-field canvas')?.focus({ preventScroll: true })
  }, [running])
  // On a phone the list of exercises lies far under the strings.
  // biome-ignore lint/correctness/useExhaustiveDependencies: the exercise is the signal
  useEffect(() => {
    window.scrollTo(0, 0)
  }, [exercise, running])

  // Under the thumb and out of sight on a phone.
  useEffect(() => {
    if (score !== null) main.current?.querySelector('.drill-score')?.scrollIntoView({ block: 'nearest' })
  }, [score])

  const seed = query.seed === undefined ? undefined : Number(query.seed)
  const begin = (): void => void start(Number.isInteger(seed) ? seed : undefined)
  const at = exercises.findIndex(({ id }) => id === exercise.id)
  const number = at < 0 ? 'an exercise of its own' : `${at + 1} of ${exercises.length}`

  return (
    <main className={`content drill ${phase}`} ref={main}>
      <div className="drill-main">
        <header className="page-head">
          <h1>Drill</h1>
          <p className="quiet">
            Exercise {number}: {exercise.title}
          </p>
        </header>
        <Readout
          exercise={exercise}
          method={method}
          bestS={best?.timeS ?? null}
          idle={idleWords(phase, inHand)}
          ended={phase === 'done'}
        />
        {exercise.methods.length > 1 && <Methods exercise={exercise} method={method} running={running} />}
        <Strings exercise={exercise} titles={titles} />
        <TurningField title={titles[inHand] ?? ''} disabled={!running} />
        <p className="drill-note" role="status">
          {note}
        </p>
        <Actions exercise={exercise} onBegin={begin} />
      </div>
      <aside className="drill-side" aria-label="Exercise and score">
        {problem !== null && (
          <div className="problem" role="alert">
            {problem}
          </div>
        )}
        {phase === 'done' && score === null && problem === null && (
          <p role="status">The best way on this seed is still being played: a few seconds.</p>
        )}
        {score !== null && <ScorePart exercise={exercise} score={score} />}
        <Task exercise={exercise} />
        <SoundPart />
        <LastTen exercise={exercise} />
        <ExerciseList exercise={exercise} />
        <History />
        <TeacherForm key={exerciseCode(exercise)} exercise={exercise} onTry={choose} />
        <p className="notes">
          Keys: Space plucks, 1 to 9 pluck a string, ← → turn 0.2°, with Shift 2°, F switches the method, Enter lets go,
          E ends.
        </p>
        <p className="notes">
          A slider is no peg: how near your own hand comes is{' '}
          <a href={routeHash('hand')}>measured on a real instrument</a>. All strings and rooms here are made up.
        </p>
      </aside>
    </main>
  )
}

function open(code: string): void {
  try {
    choose(exerciseOfCode(code))
  } catch (cause) {
    useDrill.setState({ problem: cause instanceof Problem ? cause.sentence : String(cause) })
  }
}

function idleWords(phase: Phase, inHand: number): string {
  if (phase === 'opening') return 'making the room'
  if (phase === 'running' || phase === 'replaying') return inHand < 0 ? 'pluck a string' : 'no reading yet'
  return phase === 'done' ? 'finished' : 'not started'
}

function Methods(props: { exercise: Exercise; method: number; running: boolean }) {
  const { exercise, method, running } = props
  return (
    <fieldset className="drill-methods">
      <legend className="unseen">Method</legend>
      {exercise.methods.map((choice, at) => (
        <button
          key={choice.id}
          type="button"
          className="button tall"
          aria-pressed={at === method}
          aria-keyshortcuts="F"
          disabled={!running}
          onClick={() => switchMethod(at)}
        >
          {methodWord(exercise, at)}
        </button>
      ))}
    </fieldset>
  )
}

function Strings({ exercise, titles }: { exercise: Exercise; titles: readonly string[] }) {
  const inHand = useDrill((state) => state.inHand)
  const set = useDrill((state) => state.set)
  const done = useDrill((state) => state.done)
  const running = useDrill((state) => state.phase === 'running')
  const strings = drillStrings(exercise)
  return (
    <fieldset className="drill-strings">
      <legend className="unseen">Strings: press to pluck</legend>
      {titles.map((title, at) => (
        <button
          key={title}
          type="button"
          className="button"
          aria-pressed={at === inHand}
          aria-keyshortcuts={`${at + 1}`}
          disabled={!running || strings[at]?.set !== set}
          onClick={() => pluck(at)}
        >
          <span>{title}</span>
          <span className="drill-string-state">{at === inHand ? 'now' : done[at] === true ? 'done' : 'to do'}</span>
        </button>
      ))}
    </fieldset>
  )
}

function Actions({ exercise, onBegin }: { exercise: Exercise; onBegin: () => void }) {
  const phase = useDrill((state) => state.phase)
  const inHand = useDrill((state) => state.inHand)
  const set = useDrill((state) => state.set)
  const kept = useDrill((state) => state.kept)
  const last = attemptsAt(kept, exercise).at(-1)
  if (phase === 'running') {
    return (
      <div className="drill-actions">
        <button type="button" className="button tall" aria-keyshortcuts="E" onClick={goOn}>
          {set + 1 < exercise.sets.length ? 'Hand over' : 'Finish'}
        </button>
        <button type="button" className="button tall" aria-keyshortcuts="Enter" disabled={inHand < 0} onClick={letGo}>
          Let go
        </button>
        <button type="button" className="button main" aria-keyshortcuts="Space" onClick={() => pluck()}>
          Pluck
        </button>
      </div>
    )
  }
  const waits = phase === 'opening' || phase === 'replaying'
  return (
    <div className="drill-actions">
      {waits && (
        <button
          type="button"
          className="button tall"
          onClick={() => {
            stop()
            useDrill.setState({ phase: 'ready', inHand: -1 })
          }}
        >
          Stop
        </button>
      )}
      {!waits && last !== undefined && (
        <button type="button" className="button tall" onClick={() => void replay(last)}>
          Replay
        </button>
      )}
      <button type="button" className="button main" disabled={waits} onClick={onBegin}>
        {phase === 'opening'
          ? 'Making the room'
          : phase === 'replaying'
            ? 'Replaying'
            : phase === 'done'
              ? 'Again'
              : 'Start'}
      </button>
    </div>
  )
}

function Task({ exercise }: { exercise: Exercise }) {
  const { sets, room, snrDb, methods, toleranceCents, clockS } = exercise
  const { title: roomTitle, absolute } = knownRooms.find(({ id }) => id === room) ?? { title: room }
  return (
    <section className="drill-task" aria-label="Exercise">
      <h2>{exercise.title}</h2>
      <p className="drill-task-words">{exercise.task}</p>
      <dl>
        <div>
          <dt>on</dt>
          <dd>{sets.map(({ instrument }) => instrumentById(instrument).title).join(', then ')}</dd>
        </div>
        <div>
          <dt>in</dt>
          <dd>
            {roomTitle}
            {absolute === true ? '' : `; string ${snrDb} dB over it`}
          </dd>
        </div>
        {methods.map((choice, at) => (
          <div key={choice.id}>
            <dt>{methods.length > 1 ? methodWord(exercise, at).toLowerCase() : 'by'}</dt>
            <dd>
              <MarkIcon methodId={choice.id} /> {titleOf(choice)}, {displayWords(choice)}; let go within ±
              {choice.letGoCents} c
            </dd>
          </div>
        ))}
        <div>
          <dt>until</dt>
          <dd>
            no string is more than {toleranceCents} c off{clockS > 0 ? `; ${clockS} s` : ''}
          </dd>
        </div>
      </dl>
    </section>
  )
}
