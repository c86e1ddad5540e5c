/** Which strings sound: those of an instrument, bare ones made by the page, recorded ones shipped with it or read from a file. */
import { useState } from 'react'
import { instrumentOf, noteOf } from '../../core/study/instrumentstrings.ts'
import { knownStrings, stringById } from '../../core/study/presets.ts'
import type { Study, StudyString } from '../../core/study/study.ts'
import type { EditorProps } from './editors.tsx'
import { FilePicker } from './FilePicker.tsx'
import { type Offered, useOffered } from './instruments.ts'
import { asString, recorded } from './recorded.ts'
import { TickList } from './Ticks.tsx'

export function StringsEditor({ study, change }: EditorProps) {
  const offered = useOffered()
  const inStudy = study.strings.map(instrumentOf).find((id) => id !== null) ?? ''
  const [open, setOpen] = useState(inStudy)
  const chosen = offered.find(({ instrument }) => instrument.id === open)
  const recordings = recorded('string')
  const own = chosen?.strings ?? []
  const setIds = (ids: readonly string[]): void => {
    const now = new Map(study.strings.map((string) => [string.id, string]))
    const made = (id: string): StudyString => {
      const recording = recordings.find((entry) => entry.id === id)
      const string = now.get(id) ?? own.find((entry) => entry.id === id)
      return string ?? (recording === undefined ? stringById(id) : asString(recording))
    }
    const order = [...own, ...knownStrings, ...recordings].map(({ id }) => id)
    change({ strings: [...ids].sort((a, b) => order.indexOf(a) - order.indexOf(b)).map(made) })
  }
  const ticked = study.strings.map((string) => string.id)
  const choose = (id: string): void => {
    setOpen(id)
    const strings = offered.find(({ instrument }) => instrument.id === id)?.strings
    if (strings !== undefined) change({ strings })
    else if (study.strings.some((string) => instrumentOf(string) !== null)) {
      change({ strings: study.strings.filter((string) => instrumentOf(string) === null) })
    }
  }
  return (
    <>
      <label className="text-field">
        <span>Instrument</span>
        <select className="select" value={open} onChange={(event) => choose(event.target.value)}>
          <option value="">none: bare strings</option>
          {open !== '' && chosen === undefined && <option value={open}>{open}, not kept here</option>}
          {offered.map(({ instrument, invented }) => (
            <option key={instrument.id} value={instrument.id}>
              {instrument.title}
              {invented ? ' (invented)' : ''}
            </option>
          ))}
        </select>
        <span className="notes">
          Its strings come with pitch and stiffness of their own, and its other strings ring where a room makes them
          ring. Body and pickup are the room's.
        </span>
      </label>
      {chosen !== undefined && <Own chosen={chosen} study={study} change={change} ticked={ticked} onTick={setIds} />}
      <TickList
        title="Bare, made by the page: pitch exactly known"
        pairs
        options={knownStrings.map(({ id, title }) => ({ id, label: title }))}
        ticked={ticked}
        onTick={setIds}
      />
      <TickList
        title="Recorded: pitch not known better than a cent or two"
        pairs
        options={recordings.map(({ id, title, picked }) => ({
          id,
          label: title,
          ...(picked ? { note: 'your file' } : {}),
        }))}
        ticked={ticked}
        onTick={setIds}
      />
      <FilePicker use="string" onPicked={(entry) => change({ strings: [...study.strings, asString(entry)] })} />
    </>
  )
}

function Own(props: {
  chosen: Offered
  study: Study
  change: EditorProps['change']
  ticked: readonly string[]
  onTick(ids: readonly string[]): void
}) {
  const { chosen, study, change, ticked, onTick } = props
  const { instrument, strings } = chosen
  const fresh = (string: StudyString): StudyString => strings.find(({ id }) => id === string.id) ?? string
  const renewed = study.strings.map(fresh)
  return (
    <div>
      <TickList
        title={`Strings of ${instrument.title}`}
        pairs
        options={strings.map((string) => ({
          id: string.id,
          label: noteOf(string),
          note: `${string.targetHz.toFixed(1)} Hz`,
        }))}
        ticked={ticked}
        onTick={onTick}
      />
      {JSON.stringify(renewed) !== JSON.stringify(study.strings) && (
        <p className="problem">
          The instrument was changed since its strings came here.
          <button type="button" className="button" onClick={() => change({ strings: renewed })}>
            Take it as it is now
          </button>
        </p>
      )}
    </div>
  )
}
