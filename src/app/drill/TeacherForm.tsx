/** An exercise set by a teacher: what it is made of as a form, tried at once or sent as a link. */
import { useState } from 'react'
import { drillRoom, type Exercise, type exerciseFields, parseExercise } from '../../core/drill/exercise.ts'
import { exerciseCode, writtenExercise } from '../../core/drill/link.ts'
import { instrumentFigures } from '../../core/instruments/figures.ts'
import { instrumentById, knownInstruments } from '../../core/instruments/podium.ts'
import { displayFields } from '../../core/methods/displayed.ts'
import { methods } from '../../core/methods/index.ts'
import { Problem } from '../../core/problem.ts'
import { knownRooms } from '../../core/study/presets.ts'
import { routeHash } from '../router.ts'
import { NumberBox, Select, Text, Tick } from './formfields.tsx'

interface Draft {
  readonly title: string
  readonly task: string
  readonly sets: Exercise['sets']
  readonly room: string
  readonly startSide: Exercise['startSide']
  readonly bridge: Exercise['bridge']
  readonly confirmPluck: boolean
  readonly check: boolean
  /** '' : no rough method. */
  readonly rough: string
  readonly roughLetGo: number
  readonly fine: string
  readonly fineLetGo: number
  readonly averagingMs: number
  readonly roughFirst: boolean
  readonly numbers: Readonly<Record<string, number>>
}

type NumberName = keyof typeof exerciseFields

const numberWords: readonly (readonly [NumberName, string])[] = [
  ['snrDb', 'String over room, dB'],
  ['startFromCents', 'Starts off by at least, c'],
  ['startToCents', 'Starts off by at most, c'],
  ['toleranceCents', 'Left within, c'],
  ['clockS', 'Clock, s (0: none)'],
  ['backlashDeg', 'Play of the pegs, degrees'],
  ['slackCents', 'Gives way from sharp, c'],
  ['passS', 'Passes up to so far behind, s'],
  ['bridgeNPerMm', 'Floating bridge, N/mm'],
  ['morePasses', 'Further rounds of the best way'],
]

const rooms = knownRooms.filter(({ id }) => {
  try {
    drillRoom(id)
    return true
  } catch {
    return false
  }
})

function draftOf(exercise: Exercise): Draft {
  const { methods: chosen, title, task, sets, room, startSide, bridge, confirmPluck, check } = exercise
  const [first, second] = chosen
  const fine = second ?? first
  return {
    ...{ title, task, sets, room, startSide, bridge, confirmPluck, check },
    rough: second === undefined ? '' : (first?.id ?? ''),
    roughLetGo: second === undefined ? 8 : (first?.letGoCents ?? 8),
    fine: fine?.id ?? '',
    fineLetGo: fine?.letGoCents ?? 2,
    averagingMs: fine?.display?.averagingMs ?? displayFields.averagingMs.default,
    roughFirst: exercise.stages !== null,
    numbers: Object.fromEntries(numberWords.map(([name]) => [name, exercise[name]])),
  }
}

/** Under a pluck's level, as the exercises of the list have it: the room before a pluck is not averaged in. */
const gateDb = -45
/** A hold of a quarter second needs five updates. */
const updateHz = 20

/** @throws Problem */
function exerciseOf(draft: Draft, from: Exercise): Exercise {
  const display = { averagingMs: draft.averagingMs, updateHz, gateDb }
  const fine = { id: draft.fine, letGoCents: draft.fineLetGo, display }
  const rough = { id: draft.rough, letGoCents: draft.roughLetGo, display }
  const two = draft.rough !== ''
  const { title, task, sets, room, startSide, bridge, confirmPluck, check } = draft
  const { stages: _, ...rest } = writtenExercise(from)
  return parseExercise({
    ...rest,
    ...draft.numbers,
    ...{ id: 'own', title, task, sets, room, startSide, bridge, confirmPluck, check },
    methods: two ? [rough, fine] : [fine],
    ...(two && draft.roughFirst
      ? {
          stages: [
            { method: 0, letGoCents: draft.roughLetGo, handOver: 'confirm' },
            { method: 1, letGoCents: draft.fineLetGo, handOver: 'confirm' },
          ],
        }
      : {}),
  })
}

export function TeacherForm({ exercise, onTry }: { exercise: Exercise; onTry: (exercise: Exercise) => void }) {
  const [draft, setDraft] = useState(() => draftOf(exercise))
  const [copied, setCopied] = useState('')
  const change = (part: Partial<Draft>): void => {
    setCopied('')
    setDraft((now) => ({ ...now, ...part }))
  }
  const made = ((): { exercise: Exercise } | { problem: string } => {
    try {
      return { exercise: exerciseOf(draft, exercise) }
    } catch (cause) {
      return { problem: cause instanceof Problem ? cause.sentence : String(cause) }
    }
  })()
  const link =
    'exercise' in made
      ? `${window.location.href.replace(/#.*$/, '')}${routeHash('drill', { exercise: exerciseCode(made.exercise) })}`
      : ''
  const copy = (): void => {
    navigator.clipboard?.writeText(link).then(
      () => setCopied('The link is copied.'),
      () => setCopied('The browser does not copy it: take it from the line below.'),
    )
  }

  return (
    <details className="drill-teacher">
      <summary>Set an exercise for somebody</summary>
      <div className="drill-form">
        <Text label="Title" value={draft.title} onChange={(title) => change({ title })} />
        <Text label="What to do" value={draft.task} onChange={(task) => change({ task })} />
        {draft.sets.map((set, at) => (
          <SetEditor
            key={at === 0 ? 'first' : 'second'}
            label={draft.sets.length > 1 ? `Instrument ${at + 1}` : 'Instrument'}
            set={set}
            onChange={(next) => change({ sets: draft.sets.map((one, other) => (other === at ? next : one)) })}
          />
        ))}
        <button
          type="button"
          className="button"
          onClick={() =>
            change({
              sets:
                draft.sets.length > 1
                  ? draft.sets.slice(0, 1)
                  : [...draft.sets, { instrument: knownInstruments[1]?.id ?? '', strings: [1] }],
            })
          }
        >
          {draft.sets.length > 1 ? 'One instrument only' : 'Add a second instrument'}
        </button>
        <Select
          wide
          label="Room"
          value={draft.room}
          options={rooms.map(({ id, title }) => [id, title])}
          onChange={(room) => change({ room })}
        />
        <Select
          label="Rough method"
          value={draft.rough}
          options={[['', 'none'], ...methods.map(({ id, title }) => [id, title] as const)]}
          onChange={(rough) => change({ rough })}
        />
        <Select
          label="Fine method"
          value={draft.fine}
          options={methods.map(({ id, title }) => [id, title])}
          onChange={(fine) => change({ fine })}
        />
        {draft.rough !== '' && (
          <NumberBox
            label="Hand over within, c"
            value={draft.roughLetGo}
            onChange={(roughLetGo) => change({ roughLetGo })}
          />
        )}
        <NumberBox label="Let go within, c" value={draft.fineLetGo} onChange={(fineLetGo) => change({ fineLetGo })} />
        <NumberBox
          label="Displays average, ms"
          value={draft.averagingMs}
          onChange={(averagingMs) => change({ averagingMs })}
        />
        <Select
          label="Starts"
          value={draft.startSide}
          options={[
            ['both', 'flat or sharp'],
            ['flat', 'flat'],
            ['sharp', 'sharp'],
          ]}
          onChange={(side) => change({ startSide: side as Exercise['startSide'] })}
        />
        <Select
          label="Bridge"
          value={draft.bridge}
          options={[
            ['fixed', 'fixed'],
            ['floating', 'floating'],
          ]}
          onChange={(bridge) => change({ bridge: bridge as Exercise['bridge'] })}
        />
        {numberWords.map(([name, label]) => (
          <NumberBox
            key={name}
            label={label}
            value={draft.numbers[name] ?? 0}
            onChange={(value) => change({ numbers: { ...draft.numbers, [name]: value } })}
          />
        ))}
        <Tick
          label="Only a new pluck confirms"
          on={draft.confirmPluck}
          onChange={(confirmPluck) => change({ confirmPluck })}
        />
        <Tick label="Every string is checked once more" on={draft.check} onChange={(check) => change({ check })} />
        {draft.rough !== '' && (
          <Tick
            label="Measured by rough first, then fine"
            on={draft.roughFirst}
            onChange={(roughFirst) => change({ roughFirst })}
          />
        )}
      </div>
      {'problem' in made ? (
        <p className="problem" role="alert">
          {made.problem}
        </p>
      ) : (
        <div className="drill-form-foot">
          <button type="button" className="button" onClick={() => onTry(made.exercise)}>
            Try it
          </button>
          <button type="button" className="button" onClick={copy}>
            Copy the link
          </button>
          <p role="status">{copied}</p>
          <label className="text-field">
            <span className="unseen">Link</span>
            <input readOnly value={link} onFocus={(event) => event.target.select()} />
          </label>
        </div>
      )}
    </details>
  )
}

function SetEditor(props: {
  label: string
  set: Exercise['sets'][number]
  onChange: (set: Exercise['sets'][number]) => void
}) {
  const { label, set, onChange } = props
  const { strings } = instrumentFigures(instrumentById(set.instrument))
  const toggle = (number: number): void =>
    onChange({
      ...set,
      strings: set.strings.includes(number) ? set.strings.filter((one) => one !== number) : [...set.strings, number],
    })
  return (
    <fieldset className="drill-set">
      <legend>{label}</legend>
      <Select
        label="Which"
        value={set.instrument}
        options={knownInstruments.map(({ id, title }) => [id, title])}
        onChange={(instrument) => onChange({ instrument, strings: [1] })}
      />
      <div className="chips">
        {[...strings].reverse().map(({ number, note }) => (
          <button
            key={number}
            type="button"
            className="button"
            aria-pressed={set.strings.includes(number)}
            onClick={() => toggle(number)}
          >
            {note}
          </button>
        ))}
      </div>
    </fieldset>
  )
}
