/** Every instrument of this browser: the demo, marked as invented, and the person's own. */
import { useMemo } from 'react'
import { instrumentFigures } from '../../core/instruments/figures.ts'
import type { Instrument } from '../../core/instruments/instrument.ts'
import { podiumNote, podiumTitle } from '../../core/instruments/podium.ts'
import { Alarm, Told } from './Marks.tsx'
import { gaugesWord, tuningWord } from './setup.ts'
import { isDemo, missingDemo } from './shelf.ts'
import { addNew, bringDemoBack, openInstrument, openOne, shelfOf, useInstruments } from './store.ts'

export function InstrumentList() {
  const shelf = useInstruments(shelfOf)
  const openId = useInstruments((state) => openInstrument(state)?.id)
  const [demo, own] = [shelf.filter(isDemo), shelf.filter((one) => !isDemo(one))]
  const missing = missingDemo(shelf).length
  const rows = (list: readonly Instrument[]) => (
    <ul>
      {list.map((instrument) => (
        <li key={instrument.id}>
          <Row instrument={instrument} current={instrument.id === openId} />
        </li>
      ))}
    </ul>
  )
  return (
    <nav className="instrument-list" aria-label="Instruments">
      <button type="button" className="button" onClick={addNew}>
        New instrument
      </button>
      {own.length > 0 && (
        <section>
          <h2>Yours</h2>
          {rows(own)}
        </section>
      )}
      {demo.length > 0 && (
        <section>
          <h2>{podiumTitle}: invented</h2>
          {rows(demo)}
          <p className="notes">{podiumNote}</p>
        </section>
      )}
      {shelf.length === 0 && <p className="quiet">No instrument is left.</p>}
      {missing > 0 && (
        <button type="button" className="button" onClick={bringDemoBack}>
          Bring back {missing} of the demo
        </button>
      )}
    </nav>
  )
}

function Row({ instrument, current }: { instrument: Instrument; current: boolean }) {
  const figures = useMemo(() => instrumentFigures(instrument), [instrument])
  return (
    <button
      type="button"
      className={current ? 'list-row bracketed' : 'list-row'}
      aria-current={current ? 'true' : undefined}
      onClick={() => {
        openOne(instrument.id)
        // What was opened stands at the top; on a phone the list is below it.
        window.scrollTo(0, 0)
      }}
    >
      <span className="list-title">{instrument.title}</span>
      <span className="notes">
        {gaugesWord(instrument.gauges)}, {tuningWord(instrument.tuning)},{' '}
        <span className="together">
          <Told figure={figures.totalPullN} places={0} /> N
        </span>
        {figures.alarms.length > 0 && <Alarm />}
      </span>
    </button>
  )
}
