/** The open instrument's figures, alone or against another set-up: a sentence, then the pictures or the tables. */
import { type ReactNode, useMemo } from 'react'
import { compareSetups } from '../../core/instruments/compare.ts'
import { instrumentFigures } from '../../core/instruments/figures.ts'
import type { Instrument } from '../../core/instruments/instrument.ts'
import { useNarrow } from '../bench/size.ts'
import { DotCharts } from './DotCharts.tsx'
import { alarmPercent, shownFigures } from './figureList.ts'
import { pairsOfOne, pairsOfTwo } from './pairs.ts'
import { AlarmSentences, FirstLine, markOf, SecondLine, WhatIf } from './SetupLines.tsx'
import { ownPullSentence, pullSentence, signedPercent, stringsSentence, told } from './sentences.ts'
import { attempt, changed, isChanged, noChanges } from './setup.ts'
import { duplicateOpen, keepSetup, noSecond, removeOpen, shelfOf, useInstruments } from './store.ts'
import { NarrowTables, WideTable } from './Tables.tsx'

export function CompareView(props: {
  instrument: Instrument
  picker: boolean
  actions: ReactNode
  children: ReactNode
}) {
  const { instrument, picker, actions, children } = props
  const first = useInstruments((state) => state.first)
  const second = useInstruments((state) => state.second)
  const as = useInstruments((state) => state.as)
  const shelf = useInstruments(shelfOf)
  const narrow = useNarrow()

  const from = useMemo(() => attempt(() => changed(instrument, first)), [instrument, first])
  const base = 'instrument' in from ? from.instrument : instrument
  const other = shelf.find(({ id }) => id === second.id)
  const secondBase = other ?? base
  const two = other !== undefined || isChanged(second)
  const to = useMemo(() => attempt(() => changed(secondBase, second)), [secondBase, second])
  const view = useMemo(() => {
    if (!('instrument' in to) || !two) return null
    return compareSetups(base, to.instrument)
  }, [base, to, two])
  /** Gauges alone, when they come with another tuning: which of the two does it. */
  const gaugesOnly = useMemo(() => {
    if (second.gauges === null || (second.tuning === null && second.semitones === 0)) return null
    const only = attempt(() => changed(secondBase, { ...noChanges, gauges: second.gauges }))
    return 'instrument' in only ? compareSetups(base, only.instrument).totalPullN : null
  }, [base, secondBase, second])
  const own = useMemo(() => instrumentFigures(base), [base])

  const problems = [from, to].flatMap((one) => ('problem' in one ? [one.problem] : []))
  const pairs = view === null ? pairsOfOne(own) : pairsOfTwo(view)
  const assumptions = [...new Set([...own.assumptions, ...(view?.to.assumptions ?? [])])]
  const strings = view === null ? null : stringsSentence(view)
  const alarms = view === null ? own.alarms : [...new Set([...view.from.alarms, ...view.to.alarms])]

  return (
    <>
      <div className="setups">
        <FirstLine instrument={instrument} picker={picker} />
        {actions}
        <SecondLine base={secondBase} open={instrument} />
      </div>
      <WhatIf secondBase={secondBase} />
      {problems.map((problem) => (
        <p key={problem} className="problem" role="alert">
          That set-up cannot be. {problem}. Nothing was changed.
        </p>
      ))}
      <div className="verdict" aria-live="polite">
        <p className="verdict-pull">
          {view === null ? ownPullSentence(own) : pullSentence(view)}
          {gaugesOnly !== null && (
            <span className="quiet">
              {' '}
              With the gauges alone it would be {told(gaugesOnly.to, 0)}&nbsp;N (
              {signedPercent(gaugesOnly.percent.value)}).
            </span>
          )}
        </p>
        {strings !== null && <p className="verdict-strings">{strings}</p>}
        <AlarmSentences alarms={alarms} />
      </div>
      {narrow ? (
        <div className="narrow-figures">
          {as === 'charts' && <DotCharts pairs={pairs} figures={shownFigures.filter(({ id }) => id === 'tension')} />}
          <NarrowTables pairs={pairs} two={view !== null} withTension={as === 'table'} />
        </div>
      ) : as === 'charts' ? (
        <DotCharts pairs={pairs} figures={shownFigures} />
      ) : (
        <WideTable pairs={pairs} two={view !== null} />
      )}
      {children}
      <details className="assumptions">
        <summary>≈ marks an estimate. What it assumes: {assumptions.length} things.</summary>
        <ul>
          {assumptions.map((assumption) => (
            <li key={assumption}>{assumption}</li>
          ))}
          <li>the alarm: {alarmPercent} % of the least strength of new wire; bends, rust and sharp edges weaken it</li>
        </ul>
      </details>
      <div className="keep-setup">
        {two && 'instrument' in to && isChanged(second) && (
          <button
            type="button"
            className="button"
            onClick={() => keepSetup(to.instrument, markOf(other === undefined ? first : noChanges, second))}
          >
            Keep the second as an instrument
          </button>
        )}
        {two && (
          <button type="button" className="button" onClick={() => useInstruments.setState({ second: noSecond })}>
            Stop comparing
          </button>
        )}
        <button type="button" className="button" onClick={duplicateOpen}>
          Duplicate
        </button>
        <button type="button" className="button" onClick={removeOpen}>
          Remove
        </button>
      </div>
    </>
  )
}
