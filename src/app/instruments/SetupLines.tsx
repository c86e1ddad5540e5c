/** The two set-ups as two lines of words, and the changes that people ask for as buttons. */
import type { Instrument } from '../../core/instruments/instrument.ts'
import { Alarm, SideMark } from './Marks.tsx'
import { type PickGroup, PickWord } from './PickWord.tsx'
import {
  type Changes,
  changesWord,
  fittingSets,
  fittingTunings,
  gaugesWord,
  isChanged,
  noChanges,
  stepWord,
  stringCount,
  tuningWord,
} from './setup.ts'
import { lookAt, noSecond, openOne, shelfOf, useInstruments } from './store.ts'

const asItIs = 'as it is'
const steps = [-2, -1, 1, 2]

/** Gauges of a set-up as a word; `base` is what it would be without changes. */
function GaugesWord(props: {
  base: Instrument
  changes: Changes
  side: string
  onChange(changes: Partial<Changes>): void
}) {
  const { base, changes, side, onChange } = props
  const group: PickGroup = {
    title: null,
    chosen: changes.gauges ?? asItIs,
    picks: [
      { id: asItIs, label: gaugesWord(base.gauges), note: 'what is on it' },
      ...fittingSets(base)
        .filter(({ id }) => id !== base.gauges)
        .map((set) => ({ id: set.id, label: gaugesWord(set.id), note: set.title })),
    ],
    onPick: (id) => onChange({ gauges: id === asItIs ? null : id }),
  }
  return (
    <PickWord
      word={gaugesWord(changes.gauges ?? base.gauges)}
      label={`Gauges of the ${side} set-up`}
      title="Gauges to look at"
      groups={[group]}
    />
  )
}

function TuningWord(props: {
  base: Instrument
  changes: Changes
  side: string
  onChange(changes: Partial<Changes>): void
}) {
  const { base, changes, side, onChange } = props
  const named = tuningWord(changes.tuning ?? base.tuning)
  const groups: PickGroup[] = [
    {
      title: 'All strings moved',
      chosen: `${changes.semitones}`,
      picks: [{ id: '0', label: 'not moved' }, ...steps.map((step) => ({ id: `${step}`, label: stepWord(step) }))],
      onPick: (id) => onChange({ semitones: Number(id) }),
    },
    {
      title: 'Tuning',
      chosen: changes.tuning ?? asItIs,
      picks: [
        { id: asItIs, label: tuningWord(base.tuning), note: 'as it is tuned' },
        ...fittingTunings(stringCount(base))
          .filter(({ id }) => id !== base.tuning)
          .map(({ id, title, notes }) => ({ id, label: title, note: tuningWord(notes) })),
      ],
      onPick: (id) => onChange({ tuning: id === asItIs ? null : id }),
    },
  ]
  return (
    <PickWord
      word={changes.semitones === 0 ? named : `${named}, then ${stepWord(changes.semitones)}`}
      label={`Tuning of the ${side} set-up`}
      title="Tuning to look at"
      groups={groups}
    />
  )
}

/** Facts that are not looked at with other values here: they are changed under Edit. */
function Facts({ instrument }: { instrument: Instrument }) {
  const { scaleMm, referenceHz, capo, toleranceCents, player } = instrument
  const how = capo === null ? 'no capo' : `capo ${capo.fret}, tuned with it ${capo.tuned === 'capo-on' ? 'on' : 'off'}`
  return (
    <span className="setup-facts">
      {scaleMm} mm, A4 {referenceHz} Hz, {how}, in tune within {toleranceCents} c{player === '' ? '' : `; ${player}`}
    </span>
  )
}

export function FirstLine({ instrument, picker }: { instrument: Instrument; picker: boolean }) {
  const first = useInstruments((state) => state.first)
  const shelf = useInstruments(shelfOf)
  const change = (next: Partial<Changes>): void => useInstruments.setState({ first: { ...first, ...next } })
  return (
    <div className="setup-line">
      <SideMark side="first" />
      <p className="setup-words">
        {picker ? (
          <PickWord
            word={instrument.title}
            label="Instrument"
            title="Instruments"
            groups={[{ title: null, chosen: instrument.id, picks: shelf.map(asPick), onPick: openOne }]}
          />
        ) : (
          <strong className="setup-title">{instrument.title}</strong>
        )}{' '}
        <span className="joint">with</span>{' '}
        <GaugesWord base={instrument} changes={first} side="first" onChange={change} />{' '}
        <span className="joint">in</span>{' '}
        <TuningWord base={instrument} changes={first} side="first" onChange={change} />
        {isChanged(first) && (
          <button type="button" className="word plain-word" onClick={() => change(noChanges)}>
            back to what is on it
          </button>
        )}
        <Facts instrument={instrument} />
      </p>
    </div>
  )
}

const asPick = (one: Instrument) => ({
  id: one.id,
  label: one.title,
  note: `${gaugesWord(one.gauges)}, ${tuningWord(one.tuning)}`,
})

/** @param base the instrument that the second set-up begins from: another one, or the first set-up */
export function SecondLine({ base, open }: { base: Instrument; open: Instrument }) {
  const second = useInstruments((state) => state.second)
  const shelf = useInstruments(shelfOf)
  const same = 'the same'
  return (
    <div className="setup-line">
      <SideMark side="second" />
      <p className="setup-words">
        <span className="joint">against </span>
        <PickWord
          word={second.id === null ? same : base.title}
          label="Against"
          title="Compare with"
          groups={[
            {
              title: null,
              chosen: second.id ?? same,
              picks: [
                { id: same, label: 'the same instrument', note: 'with other gauges or another tuning' },
                ...shelf.filter(({ id }) => id !== open.id).map(asPick),
              ],
              onPick: (id) => lookAt({ ...noSecond, id: id === same ? null : id }),
            },
          ]}
        />{' '}
        <span className="joint">with</span> <GaugesWord base={base} changes={second} side="second" onChange={lookAt} />{' '}
        <span className="joint">in</span> <TuningWord base={base} changes={second} side="second" onChange={lookAt} />
        {second.id !== null && <Facts instrument={base} />}
      </p>
    </div>
  )
}

/** One tap answers. A tap on what is chosen takes it back; gauges and steps go together. */
export function WhatIf({ secondBase }: { secondBase: Instrument }) {
  const second = useInstruments((state) => state.second)
  const sets = fittingSets(secondBase).filter(({ id }) => id !== secondBase.gauges)
  return (
    <fieldset className="what-if">
      <legend>What if</legend>
      {sets.map(({ id }) => (
        <button
          key={id}
          type="button"
          className="button"
          aria-pressed={second.gauges === id}
          aria-label={`${gaugesWord(id)} instead of ${gaugesWord(secondBase.gauges)}`}
          onClick={() => lookAt({ gauges: second.gauges === id ? null : id })}
        >
          {gaugesWord(id)}
        </button>
      ))}
      {[-1, -2, 1].map((step) => (
        <button
          key={step}
          type="button"
          className="button"
          aria-pressed={second.semitones === step}
          onClick={() => lookAt({ semitones: second.semitones === step ? 0 : step })}
        >
          {stepWord(step)}
        </button>
      ))}
    </fieldset>
  )
}

/** Title for a set-up that is kept as an instrument. */
export const markOf = (first: Changes, second: Changes): string =>
  changesWord({
    gauges: second.gauges ?? first.gauges,
    tuning: second.tuning ?? first.tuning,
    semitones: first.semitones + second.semitones,
  })

export function AlarmSentences({ alarms }: { alarms: readonly string[] }) {
  if (alarms.length === 0) return null
  return (
    <ul className="alarms">
      {alarms.map((sentence) => (
        <li key={sentence}>
          <Alarm /> {sentence}
        </li>
      ))}
    </ul>
  )
}
