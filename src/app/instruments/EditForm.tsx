/** Everything that can be said about the open instrument, with its pull and strings beside it while it changes. */
import { useState } from 'react'
import { gaugesNote } from '../../core/instruments/gauges.ts'
import {
  capoFields,
  type Instrument,
  type InstrumentField,
  type InstrumentKind,
  instrumentFields,
  instrumentKinds,
  kindDefaults,
  pegFields,
} from '../../core/instruments/instrument.ts'
import { TickOne } from '../choices/Ticks.tsx'
import { FieldBox } from './FieldBox.tsx'
import { Part } from './Part.tsx'
import { limitsOf, numberText, readNumber, unitAfter } from './reading.ts'
import { SelectBox } from './SelectBox.tsx'
import { StringsEditor } from './StringsEditor.tsx'
import { editNow, sentenceOf } from './store.ts'

const kindWords: Readonly<Record<InstrumentKind, string>> = {
  acoustic: 'Acoustic, steel strings',
  nylon: 'Nylon strings',
  electric: 'Electric',
  bass: 'Bass',
}

export function EditForm({ instrument }: { instrument: Instrument }) {
  const [problem, setProblem] = useState<string | null>(null)
  const attempt = (change: (now: Instrument) => unknown, what: string): void => {
    try {
      editNow(change, what)
      setProblem(null)
    } catch (cause) {
      setProblem(`${what}: ${sentenceOf(cause)}. What was there stays.`)
    }
  }
  return (
    <form className="edit-form" onSubmit={(event) => event.preventDefault()} aria-label={`Edit ${instrument.title}`}>
      {problem !== null && (
        <p className="problem" role="alert">
          {problem}
        </p>
      )}
      <Part title="Who and what">
        <FieldBox
          title="Name"
          value={instrument.title}
          take={(title) => editNow((now) => ({ ...now, title }), 'name', 'title')}
        />
        <FieldBox
          title="Player"
          value={instrument.player}
          help="Any words; empty when nobody is named."
          take={(player) => editNow((now) => ({ ...now, player }), 'player', 'player')}
        />
        <SelectBox
          title="Kind"
          chosen={instrument.kind}
          options={instrumentKinds.map((kind) => ({ id: kind, title: kindWords[kind] }))}
          help="What is not known of the pegs is assumed by kind."
          onChoose={(kind) => attempt((now) => ({ ...now, kind }), 'kind')}
        />
        <NumberBox name="toleranceCents" title="Tolerance" value={instrument.toleranceCents} />
        <div className="wide">
          <FieldBox
            title="Notes"
            lines={2}
            value={instrument.notes}
            take={(notes) => editNow((now) => ({ ...now, notes }), 'notes', 'notes')}
          />
        </div>
      </Part>
      <StringsEditor instrument={instrument} attempt={attempt} />
      <Part title="Length, pitch and capo">
        <NumberBox name="scaleMm" title="Scale length" value={instrument.scaleMm} />
        <NumberBox name="referenceHz" title="Reference pitch, A4" value={instrument.referenceHz} />
        <CapoFields instrument={instrument} attempt={attempt} />
      </Part>
      <Part title="Pegs" note="Left empty, a figure is assumed by kind, and says so.">
        <PegBox instrument={instrument} name="ratio" title="Peg ratio" />
        <PegBox instrument={instrument} name="postMm" title="Post diameter" />
        <PegBox instrument={instrument} name="beyondMm" title="String beyond nut and saddle" />
      </Part>
      <p className="notes">{gaugesNote}</p>
    </form>
  )
}

function NumberBox({ name, title, value }: { name: keyof typeof instrumentFields; title: string; value: number }) {
  const field = instrumentFields[name]
  return (
    <FieldBox
      title={title}
      unit={unitAfter(field)}
      numeric
      value={numberText(value)}
      stays={`${numberText(value)}${unitAfter(field)}`}
      help={`${field.help} ${limitsOf(field)}.`}
      take={(text) => {
        const number = readNumber(text, field)
        editNow((now) => ({ ...now, [name]: number }), title.toLowerCase(), name)
      }}
    />
  )
}

/** A number that may be left out: then it is assumed, and the placeholder says what. */
function OptionalBox(props: {
  title: string
  field: InstrumentField
  value: number | undefined
  assumed: number
  give(value: number | undefined): void
}) {
  const { title, field, value, assumed, give } = props
  const unit = unitAfter(field)
  return (
    <FieldBox
      title={title}
      unit={unit}
      numeric
      value={value === undefined ? '' : numberText(value)}
      stays={value === undefined ? `The assumed ${assumed}${unit}` : `${numberText(value)}${unit}`}
      placeholder={`assumed ${assumed}`}
      help={`${field.help} ${limitsOf(field)}.`}
      take={(text) => give(text.trim() === '' ? undefined : readNumber(text, field))}
    />
  )
}

function PegBox(props: { instrument: Instrument; name: keyof typeof pegFields; title: string }) {
  const { instrument, name, title } = props
  return (
    <OptionalBox
      title={title}
      field={pegFields[name]}
      value={instrument.peg[name]}
      assumed={kindDefaults[instrument.kind].peg[name]}
      give={(value) =>
        editNow(
          (now) => {
            const { [name]: _old, ...rest } = now.peg
            return { ...now, peg: value === undefined ? rest : { ...rest, [name]: value } }
          },
          title.toLowerCase(),
          `peg ${name}`,
        )
      }
    />
  )
}

function CapoFields(props: {
  instrument: Instrument
  attempt(change: (now: Instrument) => unknown, what: string): void
}) {
  const { instrument, attempt } = props
  const { capo } = instrument
  return (
    <>
      <div className="wide">
        <TickOne
          label="Capo"
          note="It ends the strings at a fret and makes them a little sharp."
          ticked={capo !== null}
          onTick={(on) =>
            attempt(
              (now) => ({ ...now, capo: on ? { fret: capoFields.fret.default, tuned: 'capo-on' } : null }),
              'capo',
            )
          }
        />
      </div>
      {capo !== null && (
        <>
          <FieldBox
            title="Capo at fret"
            numeric
            value={numberText(capo.fret)}
            help={`${limitsOf(capoFields.fret)}.`}
            take={(text) => {
              const fret = readNumber(text, capoFields.fret)
              editNow((now) => ({ ...now, capo: now.capo && { ...now.capo, fret } }), 'capo fret', 'capo fret')
            }}
          />
          <OptionalBox
            title="Capo sharpens by"
            field={capoFields.shiftCents}
            value={capo.shiftCents}
            assumed={capoFields.shiftCents.default}
            give={(shiftCents) =>
              editNow(
                (now) => {
                  if (now.capo === null) return now
                  const { shiftCents: _old, ...rest } = now.capo
                  return { ...now, capo: shiftCents === undefined ? rest : { ...rest, shiftCents } }
                },
                'capo shift',
                'capo shift',
              )
            }
          />
          <SelectBox
            title="Tuned"
            chosen={capo.tuned}
            options={[
              { id: 'capo-on', title: 'with the capo on' },
              { id: 'capo-off', title: 'with the capo off' },
            ]}
            onChoose={(tuned) => attempt((now) => ({ ...now, capo: now.capo && { ...now.capo, tuned } }), 'capo')}
          />
        </>
      )}
    </>
  )
}
