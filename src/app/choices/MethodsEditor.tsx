/**
 * Methods by what they are told and who wrote them. A group opens to its methods, says how many are ticked, and can be
 * ticked as a whole; a ticked method opens to its settings.
 */
import { useState } from 'react'
import { methods as knownMethods } from '../../core/methods/index.ts'
import type { Method } from '../../core/methods/method.ts'
import type { MethodChoice } from '../../core/study/study.ts'
import { type Group, groupOf, groupWords, isMixed } from '../bench/families.ts'
import { MarkIcon } from '../bench/slots.tsx'
import { ChainsEditor } from './ChainsEditor.tsx'
import type { EditorProps } from './editors.tsx'
import { FieldInput, TickOne } from './Ticks.tsx'

const groups: readonly Group[] = ['aimed', 'blind', 'outside']

export function MethodsEditor({ study, change }: EditorProps) {
  // Chains have a list of their own.
  const alone = study.methods.filter(({ after }) => after === undefined)
  const chains = study.methods.filter(({ after }) => after !== undefined)
  const chosen = alone.map(({ id }) => id)
  const setChosen = (ids: readonly string[]): void => {
    // A method may stand there several times: with other settings, behind displays.
    const keptOf = (id: string): readonly MethodChoice[] => {
      const kept = alone.filter((method) => method.id === id)
      return kept.length === 0 ? [{ id, values: {} }] : kept
    }
    const ticked = knownMethods.filter(({ id }) => ids.includes(id)).flatMap(({ id }) => keptOf(id))
    change({ methods: [...ticked, ...chains] })
  }
  return (
    <>
      {groups.map((group) => (
        <MethodGroup
          key={group}
          group={group}
          methods={alone}
          onTick={(ids, ticked) => setChosen(ticked ? [...chosen, ...ids] : chosen.filter((id) => !ids.includes(id)))}
          onValue={(id, name, value) =>
            change({
              methods: study.methods.map((method) =>
                method.id === id && method.after === undefined
                  ? { ...method, values: { ...method.values, [name]: value } }
                  : method,
              ),
            })
          }
        />
      ))}
      <ChainsEditor study={study} change={change} />
      {isMixed([...chosen, ...chains.map(({ id }) => id)]) && (
        <p className="notes">
          Aimed methods know the note, blind ones only a range: they stand in the same charts, marked, and are placed
          apart.
        </p>
      )}
      <TickOne
        label="Methods know the room"
        note="They are given the spectrum of 5 s of the same room. Results with and without stand apart."
        ticked={study.roomLearnt}
        onTick={(roomLearnt) => change({ roomLearnt })}
      />
    </>
  )
}

interface GroupProps {
  readonly group: Group
  readonly methods: readonly MethodChoice[]
  onTick(ids: readonly string[], ticked: boolean): void
  onValue(id: string, name: string, value: number): void
}

function MethodGroup({ group, methods, onTick, onValue }: GroupProps) {
  const list = knownMethods.filter(({ id }) => groupOf(id) === group)
  const ids = list.map(({ id }) => id)
  const ticked = list.flatMap(({ id }) => methods.find((method) => method.id === id) ?? [])
  // Open where something is ticked, so that a choice is never hidden; the rest is a line a group.
  const [open, setOpen] = useState(ticked.length > 0)
  return (
    <section className="method-group" aria-label={groupWords[group]}>
      <div className="method-group-head">
        <button type="button" className="method-group-title" aria-expanded={open} onClick={() => setOpen(!open)}>
          <strong>{groupWords[group]}</strong>
          <span className="quiet">
            {ticked.length} of {ids.length}
          </span>
        </button>
        <button
          type="button"
          className="button"
          aria-label={ticked.length === ids.length ? `None of: ${groupWords[group]}` : `All of: ${groupWords[group]}`}
          onClick={() => onTick(ids, ticked.length < ids.length)}
        >
          {ticked.length === ids.length ? 'None' : 'All'}
        </button>
      </div>
      {open && (
        <div className="method-rows">
          {list.map((method) => (
            <MethodRow
              key={method.id}
              method={method}
              choice={ticked.find(({ id }) => id === method.id)}
              onTick={(on) => onTick([method.id], on)}
              onValue={(name, value) => onValue(method.id, name, value)}
            />
          ))}
        </div>
      )}
    </section>
  )
}

function MethodRow(props: {
  method: Method
  choice: MethodChoice | undefined
  onTick(ticked: boolean): void
  onValue(name: string, value: number): void
}) {
  const { method, choice, onTick, onValue } = props
  const [open, setOpen] = useState(false)
  const fields = Object.entries(method.fields)
  const changed = Object.entries(choice?.values ?? {}).filter(([name, value]) => value !== method.fields[name]?.default)
  return (
    <div className="method-row">
      <TickOne
        label={
          <span className="with-mark">
            <MarkIcon methodId={method.id} /> {method.id}
          </span>
        }
        note={method.source}
        ticked={choice !== undefined}
        onTick={onTick}
      />
      {choice !== undefined && fields.length > 0 && (
        <button
          type="button"
          className="word method-settings"
          aria-expanded={open}
          aria-label={`Settings of ${method.id}`}
          onClick={() => setOpen(!open)}
        >
          {changed.length === 0 ? 'settings' : `${changed.length} set`}
        </button>
      )}
      {choice !== undefined && open && (
        <div className="fields">
          {fields.map(([name, field]) => (
            <FieldInput
              key={name}
              title={name}
              field={field}
              value={choice.values[name] ?? field.default}
              onValue={(value) => onValue(name, value)}
            />
          ))}
        </div>
      )}
    </div>
  )
}
