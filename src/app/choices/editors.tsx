/** What opens behind each word of the study: a few things to tick or numbers to set. Each changes a draft only. */
import { useState } from 'react'
import { methods as knownMethods } from '../../core/methods/index.ts'
import { claimFields, studyFields } from '../../core/study/parse.ts'
import { presetIds, presetStudy } from '../../core/study/presets.ts'
import type { MethodChoice, Study } from '../../core/study/study.ts'
import { signedDb } from '../bench/figures.ts'
import { MarkIcon } from '../bench/slots.tsx'
import { Chips, FieldInput, TickList, TickOne } from './Ticks.tsx'
import { presetOf, presetWords } from './words.ts'

export interface EditorProps {
  readonly study: Study
  change(change: Partial<Study>): void
  /** Another study altogether: nothing of this one stays. */
  take(study: Study): void
}

const usualRatios = [-20, -15, -10, -5, 0, 5, 10, 15, 20, 30, 40]

export function RatiosEditor({ study, change }: EditorProps) {
  const offered = [...new Set([...usualRatios, ...study.snrsDb])].sort((a, b) => a - b)
  return (
    <Chips
      title="String over room in the first second, dB"
      options={offered.map((ratio) => ({ id: `${ratio}`, label: signedDb(ratio) }))}
      ticked={study.snrsDb.map(String)}
      onTick={(ticked) => change({ snrsDb: ticked.map(Number).sort((a, b) => a - b) })}
    />
  )
}

export function MethodsEditor({ study, change }: EditorProps) {
  const [open, setOpen] = useState<string | null>(null)
  const chosen = [...new Set(study.methods.map((method) => method.id))]
  const setChosen = (ids: readonly string[]): void => {
    const keptOf = (id: string): readonly MethodChoice[] => {
      const kept = study.methods.filter((method) => method.id === id)
      return kept.length === 0 ? [{ id, values: {} }] : kept
    }
    change({ methods: knownMethods.filter(({ id }) => ids.includes(id)).flatMap(({ id }) => keptOf(id)) })
  }
  const family = (name: 'aimed' | 'blind', title: string) => (
    <TickList
      title={title}
      pairs
      options={knownMethods
        .filter((method) => method.family === name)
        .map((method) => ({
          id: method.id,
          note: method.source,
          label: (
            <span className="with-mark">
              <MarkIcon methodId={method.id} /> {method.id}
            </span>
          ),
        }))}
      ticked={chosen}
      onTick={setChosen}
    />
  )
  const settled = knownMethods.find((method) => method.id === open)
  return (
    <>
      {family('aimed', 'Aimed: told the note in hand, search within 150 c of it')}
      {family('blind', 'Blind: told a range only')}
      <TickOne
        label="Methods know the room"
        note="They are given the spectrum of 5 s of the same room. Results with and without stand apart."
        ticked={study.roomLearnt}
        onTick={(roomLearnt) => change({ roomLearnt })}
      />
      <label className="text-field">
        <span>Settings of</span>
        <select className="select" value={open ?? ''} onChange={(event) => setOpen(event.target.value || null)}>
          <option value="">no method</option>
          {chosen.map((id) => (
            <option key={id}>{id}</option>
          ))}
        </select>
      </label>
      {settled !== undefined && (
        <div className="fields">
          {Object.entries(settled.fields).map(([name, field]) => (
            <FieldInput
              key={name}
              title={name}
              field={field}
              value={study.methods.find((method) => method.id === open)?.values[name] ?? field.default}
              onValue={(value) =>
                change({
                  methods: study.methods.map((method) =>
                    method.id === open ? { ...method, values: { ...method.values, [name]: value } } : method,
                  ),
                })
              }
            />
          ))}
        </div>
      )}
    </>
  )
}

export function RepeatsEditor({ study, change }: EditorProps) {
  return (
    <div className="fields">
      <FieldInput
        title="Times"
        field={studyFields.repeats}
        value={study.repeats}
        onValue={(repeats) => change({ repeats })}
      />
      <FieldInput title="Seed" field={studyFields.seed} value={study.seed} onValue={(seed) => change({ seed })} />
      <FieldInput
        title="Take"
        field={studyFields.takeS}
        step={0.1}
        value={study.takeS}
        onValue={(takeS) => change({ takeS })}
      />
      <FieldInput
        title="Detuned by up to"
        field={studyFields.detuneCents}
        step={1}
        value={study.detuneCents}
        onValue={(detuneCents) => change({ detuneCents })}
      />
    </div>
  )
}

export function ClaimEditor({ study, change }: EditorProps) {
  const { claim } = study
  return (
    <>
      <p className="quiet">
        A method claims once its readings have stayed inside a span for the hold. The claim is true when their median
        lies within the tolerance of the truth.
      </p>
      <div className="fields">
        <FieldInput
          title="Span"
          field={claimFields.spanCents}
          step={0.5}
          value={claim.spanCents}
          onValue={(spanCents) => change({ claim: { ...claim, spanCents } })}
        />
        <FieldInput
          title="Hold"
          field={claimFields.holdS}
          step={0.05}
          value={claim.holdS}
          onValue={(holdS) => change({ claim: { ...claim, holdS } })}
        />
        <FieldInput
          title="Tolerance"
          field={claimFields.tolCents}
          step={0.5}
          value={claim.tolCents}
          onValue={(tolCents) => change({ claim: { ...claim, tolCents } })}
        />
      </div>
    </>
  )
}

export function PresetEditor({ study, take }: EditorProps) {
  const current = presetOf(study)
  return (
    <div className="presets">
      {presetIds.map((id) => (
        <button
          key={id}
          type="button"
          className="button preset"
          aria-pressed={id === current}
          onClick={() => take(presetStudy(id))}
        >
          {presetWords[id] ?? id}
        </button>
      ))}
    </div>
  )
}
