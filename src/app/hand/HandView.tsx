/** My hand, measured: how far turns of a real peg come from what was meant, and how long they take. */
import { useEffect, useMemo, useState } from 'react'
import { instrumentFigures } from '../../core/instruments/figures.ts'
import { noteOf } from '../../core/study/instrumentstrings.ts'
import { type Offered, useOffered } from '../choices/instruments.ts'
import { handOf } from '../plan/measuredhand.ts'
import { LevelMeterPicture } from '../room/LevelMeterPicture.tsx'
import { useOneHandKeys } from '../room/useOneHandKeys.ts'
import { routeHash, useRoute } from '../router.ts'
import { AskPart } from './AskPart.tsx'
import { FitPart } from './FitPart.tsx'
import { HandSentence } from './HandSentence.tsx'
import { type HandString, useHand } from './handstore.ts'
import { chooseString, closeInput, openInput, redo, resetMeter, startHand } from './session.ts'
import '../style/asking.css'
import '../style/hand.css'

export function HandView() {
  const offered = useOffered()
  const { query } = useRoute()
  const { string, input, opening, guide } = useHand()
  const [instrumentId, setInstrumentId] = useState(query.instrument ?? '')
  const chosen = offered.find(({ instrument }) => instrument.id === instrumentId) ?? offered[0]
  const strings = useMemo(() => (chosen === undefined ? [] : pegsOf(chosen)), [chosen])
  const fit = useMemo(() => handOf(guide.pairs), [guide.pairs])

  useEffect(() => {
    startHand()
    // Nothing is heard while another page is shown.
    return () => void closeInput()
  }, [])
  useEffect(() => {
    const same = strings.find(({ id }) => id === string?.id)
    // A string in the middle: the thickest ask for the longest turns, the thinnest break first.
    const wanted = same ?? strings[Math.floor(strings.length / 2) - 1] ?? strings[0]
    if (wanted !== undefined) chooseString(wanted)
  }, [strings, string?.id])
  useOneHandKeys({
    advance: input === null && !opening ? () => void openInput() : null,
    letters: { r: redo, e: () => void closeInput() },
  })

  return (
    <main className={input === null ? 'content hand' : 'content hand measuring'}>
      <div className="page-head">
        <h1>My hand</h1>
        <span className="quiet question">How far does a turn come from what I meant?</span>
      </div>
      {string === null ? (
        <p>No instrument is there: add one on the Instruments page.</p>
      ) : (
        <>
          <HandSentence
            instruments={offered.map(({ instrument }) => instrument)}
            instrument={chosen?.instrument ?? null}
            onInstrument={setInstrumentId}
            strings={strings}
            string={string}
          />
          {input?.notes.map((note) => (
            <p key={note} className="notes">
              {note}
            </p>
          ))}
          <AskPart string={string} />
          {input !== null && <LevelMeterPicture onReset={resetMeter} />}
          {guide.pairs.length > 0 ? <FitPart pairs={guide.pairs} fit={fit} /> : input === null && <Purpose />}
        </>
      )}
      <p className="notes">
        <a href={routeHash('plan')}>Back to the plan</a>
      </p>
    </main>
  )
}

/** Strings that have a peg whose effect is known, thickest first. */
function pegsOf({ instrument, strings }: Offered): readonly HandString[] {
  const pegs = instrumentFigures(instrument).strings
  return strings.map((one, at) => ({
    instrument: instrument.id,
    id: one.id,
    title: noteOf(one),
    noteHz: one.targetHz,
    centsPerDegree: pegs[pegs.length - 1 - at]?.centsPerDegree.value ?? Number.NaN,
  }))
}

/** Before anything is heard: what comes, and what it is for. */
function Purpose() {
  return (
    <section className="hand-part">
      <h2>What comes</h2>
      <ol className="hand-steps">
        <li>Pluck the string. After half a second it is read.</li>
        <li>Turn the peg by the cents that are asked for, in one go and by feel, while it rings.</li>
        <li>Mute it and pluck again. Fifteen such turns take two minutes.</li>
      </ol>
      <p className="quiet">
        Plans then reckon with your own spread, reaction and speed in place of assumptions. Nothing that is heard leaves
        this machine. R does the last turn again, E ends.
      </p>
    </section>
  )
}
