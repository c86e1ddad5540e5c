/** What opens behind each word of the study: a few things to tick or numbers to set. Each changes a draft only. */
import { presetIds, presetStudy } from '../../core/study/presets.ts'
import type { Study } from '../../core/study/study.ts'
import { claimFields, studyFields } from '../../core/study/studyfields.ts'
import { signedDb } from '../bench/figures.ts'
import { Chips, FieldInput } from './Ticks.tsx'
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
