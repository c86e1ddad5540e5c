/** Gauges and tuning: a set or own diameters, a tuning or own notes, string by string, with what each string then stands at. */
import { Fragment, useCallback, useEffect, useState } from 'react'
import { instrumentFigures, type StringFigures } from '../../core/instruments/figures.ts'
import { gaugeSets } from '../../core/instruments/gauges.ts'
import { type Gauge, type Gauges, gaugeFields, type Instrument, noteField } from '../../core/instruments/instrument.ts'
import { loadMaterials, wrapMaterials } from '../../core/instruments/materials.ts'
import { tuningNotes } from '../../core/instruments/tunings.ts'
import { FieldBox, type Typed, useTyped } from './FieldBox.tsx'
import { Alarm, Told } from './Marks.tsx'
import { Part } from './Part.tsx'
import { limitsOf, numberText, readNumber } from './reading.ts'
import { SelectBox } from './SelectBox.tsx'
import { inPercent } from './sentences.ts'
import { fittingTunings, gaugesOf } from './setup.ts'
import { editNow } from './store.ts'

/** As many as a file may hold. */
const countField = { default: 6, min: 1, max: 24, unit: 'count', whole: true, help: 'Number of strings.' } as const

/** Half the outer diameter: what a wound string is given until somebody measures its core. */
const coreShare = 0.5

type Attempt = (change: (now: Instrument) => unknown, what: string) => void

const ownGauges = (gauges: string | Gauges): Gauges => {
  const { materials, strings } = gaugesOf(gauges)
  return { materials, strings }
}

export function StringsEditor({ instrument, attempt }: { instrument: Instrument; attempt: Attempt }) {
  const { gauges, tuning } = instrument
  const count = tuningNotes(tuning).length
  const own = typeof gauges !== 'string'
  const figures = instrumentFigures(instrument)
  const chooseGauges = (id: string): void =>
    attempt((now) => {
      if (id === '') return { ...now, gauges: ownGauges(now.gauges) }
      const strings = gaugesOf(id).strings.length
      // A set for another number of strings takes the first tuning that fits it along: either alone would be refused.
      const fits = tuningNotes(now.tuning).length === strings
      return { ...now, gauges: id, tuning: fits ? now.tuning : (fittingTunings(strings)[0]?.id ?? now.tuning) }
    }, 'gauges')
  const chooseTuning = (id: string): void =>
    attempt((now) => ({ ...now, tuning: id === '' ? [...tuningNotes(now.tuning)] : id }), 'tuning')
  return (
    <Part title="Strings">
      <SelectBox
        title="Gauges"
        chosen={own ? '' : gauges}
        options={[...gaugeSets, { id: '', title: 'own diameters' }]}
        help={
          own
            ? 'Diameters in inches, core of each wound string too.'
            : 'Choose “own diameters” to change single strings.'
        }
        onChoose={chooseGauges}
      />
      <SelectBox
        title="Tuning"
        chosen={typeof tuning === 'string' ? tuning : ''}
        options={[...fittingTunings(count), { id: '', title: 'own notes' }]}
        help="Choose “own notes” to tune single strings."
        onChoose={chooseTuning}
      />
      <FieldBox
        title="Number of strings"
        numeric
        value={numberText(count)}
        help="Other than the set has: makes diameters and notes your own; the lowest string comes or goes."
        take={(text) => {
          const next = readNumber(text, countField)
          editNow((now) => withCount(now, next), 'number of strings', 'count')
        }}
      />
      {own && <Materials gauges={gauges} attempt={attempt} />}
      <div className="wide">
        <StringTable instrument={instrument} strings={figures.strings} attempt={attempt} />
        <p className="pull-line">
          Total pull{' '}
          <strong>
            <Told figure={figures.totalPullN} places={0} /> N
          </strong>
          <span className="notes"> ≈ marks an estimate</span>
        </p>
      </div>
    </Part>
  )
}

function withCount(now: Instrument, count: number): unknown {
  const { materials, strings } = gaugesOf(now.gauges)
  const notes = tuningNotes(now.tuning)
  if (count === notes.length) return now
  const grown = <T,>(list: readonly T[]): (T | undefined)[] =>
    Array.from({ length: count }, (_, at) => list[at] ?? list.at(-1))
  return { ...now, gauges: { materials, strings: grown(strings) }, tuning: grown(notes) }
}

function Materials({ gauges, attempt }: { gauges: Gauges; attempt: Attempt }) {
  const choices = [
    ['plain', 'Plain strings', loadMaterials],
    ['core', 'Cores', loadMaterials],
    ['wrap', 'Wraps', wrapMaterials],
  ] as const
  return choices.map(([name, title, materials]) => (
    <SelectBox
      key={name}
      title={title}
      chosen={gauges.materials[name]}
      options={materials}
      onChoose={(id) =>
        attempt((now) => {
          const { materials: old, strings } = ownGauges(now.gauges)
          return { ...now, gauges: { strings, materials: { ...old, [name]: id } } }
        }, title.toLowerCase())
      }
    />
  ))
}

/** Lowest string on top, as everywhere on the page. */
function StringTable(props: { instrument: Instrument; strings: readonly StringFigures[]; attempt: Attempt }) {
  const { instrument, strings, attempt } = props
  const [sentences, setSentences] = useState<Readonly<Record<string, string | null>>>({})
  const { gauges, tuning } = instrument
  const own = typeof gauges !== 'string'
  const gaugeList = gaugesOf(gauges).strings
  const tell = useCallback(
    (cell: string, sentence: string | null): void => setSentences((now) => ({ ...now, [cell]: sentence })),
    [],
  )
  const setGauge = (at: number, gauge: (old: Gauge) => Gauge, key: string | null): void =>
    editNow(
      (now) => {
        const { materials, strings: old } = ownGauges(now.gauges)
        return { ...now, gauges: { materials, strings: old.map((one, index) => (index === at ? gauge(one) : one)) } }
      },
      `string ${at + 1}`,
      key,
    )
  return (
    <div className="table-place string-table">
      <table>
        <caption className="unseen">Strings, lowest first</caption>
        <thead>
          <tr>
            <th scope="col">string</th>
            <th scope="col">note</th>
            <th scope="col">diameter, in</th>
            <th scope="col">wound</th>
            <th scope="col">core, in</th>
            <th scope="col">tension, N</th>
            <th scope="col">load, % of breaking</th>
          </tr>
        </thead>
        <tbody>
          {strings
            .map((string, at) => ({ string, at, gauge: gaugeList[at] }))
            .reverse()
            .map(({ string, at, gauge }) => (
              <Fragment key={string.number}>
                <tr>
                  <th scope="row">{string.number}</th>
                  <td>
                    {typeof tuning === 'string' ? (
                      string.note
                    ) : (
                      <CellBox
                        title={`String ${string.number}, note`}
                        value={string.note}
                        cell={`${at} note`}
                        tell={tell}
                        take={(text) =>
                          editNow(
                            (now) => ({
                              ...now,
                              tuning: tuningNotes(now.tuning).map((note, index) => (index === at ? text.trim() : note)),
                            }),
                            `string ${string.number}`,
                            `note ${at}`,
                          )
                        }
                      />
                    )}
                  </td>
                  <td>
                    {own ? (
                      <CellBox
                        title={`String ${string.number}, diameter`}
                        numeric
                        value={numberText(gauge?.diameterIn ?? Number.NaN)}
                        stays={`${numberText(gauge?.diameterIn ?? Number.NaN)} in`}
                        cell={`${at} diameter`}
                        tell={tell}
                        take={(text) => {
                          const diameterIn = readNumber(text, gaugeFields.diameterIn)
                          setGauge(at, (old) => ({ ...old, diameterIn }), `diameter ${at}`)
                        }}
                      />
                    ) : (
                      numberText(gauge?.diameterIn ?? Number.NaN)
                    )}
                  </td>
                  <td>
                    {own ? (
                      <label className="cell-tick">
                        <input
                          type="checkbox"
                          aria-label={`String ${string.number} is wound`}
                          checked={gauge?.coreIn !== undefined}
                          onChange={(event) =>
                            attempt(
                              (now) => ({ ...now, gauges: rewound(ownGauges(now.gauges), at, event.target.checked) }),
                              `string ${string.number}`,
                            )
                          }
                        />
                      </label>
                    ) : gauge?.coreIn === undefined ? (
                      'plain'
                    ) : (
                      'wound'
                    )}
                  </td>
                  <td>
                    {gauge?.coreIn === undefined ? (
                      <span className="notes">none</span>
                    ) : own ? (
                      <CellBox
                        title={`String ${string.number}, core`}
                        numeric
                        value={numberText(gauge.coreIn)}
                        stays={`${numberText(gauge.coreIn)} in`}
                        cell={`${at} core`}
                        tell={tell}
                        take={(text) => {
                          const coreIn = readNumber(text, gaugeFields.coreIn)
                          setGauge(at, (old) => ({ ...old, coreIn }), `core ${at}`)
                        }}
                      />
                    ) : (
                      numberText(gauge.coreIn)
                    )}
                  </td>
                  <td>
                    <Told figure={string.tensionN} places={1} />
                  </td>
                  <td>
                    <Told figure={inPercent(string.strengthShare)} places={0} />
                    {string.alarm !== null && <Alarm />}
                  </td>
                </tr>
                {(['note', 'diameter', 'core'] as const).map((name) => {
                  const sentence = sentences[`${at} ${name}`]
                  return sentence ? (
                    <tr key={name}>
                      <td colSpan={7}>
                        <p className="problem" role="alert">
                          {sentence}
                        </p>
                      </td>
                    </tr>
                  ) : null
                })}
              </Fragment>
            ))}
        </tbody>
      </table>
      {own && (
        <p className="notes">
          Diameter {limitsOf(gaugeFields.diameterIn)}, core {limitsOf(gaugeFields.coreIn)} and thinner than the string.
        </p>
      )}
      {typeof tuning !== 'string' && <p className="notes">Notes such as E2, Bb1 or F#3, from {limitsOf(noteField)}.</p>}
    </div>
  )
}

function rewound({ materials, strings }: Gauges, at: number, wound: boolean): Gauges {
  return {
    materials,
    strings: strings.map((gauge, index) => {
      if (index !== at) return gauge
      const { diameterIn } = gauge
      if (!wound) return { diameterIn }
      return { diameterIn, coreIn: Number(Math.max(gaugeFields.coreIn.min, coreShare * diameterIn).toFixed(4)) }
    }),
  }
}

/** A field in a cell: its sentence stands in a row of its own, where there is room for it. */
function CellBox(
  props: Typed & { numeric?: boolean; cell: string; tell(cell: string, sentence: string | null): void },
) {
  const { cell, tell } = props
  const { sentence, text, change, leave } = useTyped(props)
  useEffect(() => tell(cell, sentence), [tell, cell, sentence])
  return (
    <input
      className="cell-box"
      type="text"
      inputMode={props.numeric ? 'decimal' : 'text'}
      autoComplete="off"
      aria-label={props.title}
      aria-invalid={sentence !== null}
      value={text}
      onChange={(event) => change(event.target.value)}
      onBlur={leave}
      onKeyDown={(event) => {
        if (event.key === 'Enter') leave()
      }}
    />
  )
}
