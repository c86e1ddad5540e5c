/**
 * The Room page: what this room does to this pickup. The take is asked for part by part; figures come as they are made;
 * the methods run live beside it.
 */
import { useEffect, useState } from 'react'
import { useOffered } from '../choices/instruments.ts'
import { useRoute } from '../router.ts'
import '../style/live.css'
import '../style/asking.css'
import '../style/room.css'
import { ChecksPart } from './ChecksPart.tsx'
import { ComparePart } from './ComparePart.tsx'
import type { Frozen } from './FrozenPart.tsx'
import { GuidePart } from './GuidePart.tsx'
import { InputSentence } from './InputSentence.tsx'
import { LevelMeterPicture } from './LevelMeterPicture.tsx'
import { firstMethods, LivePart } from './LivePart.tsx'
import { NoiseResult } from './NoiseResult.tsx'
import { PredictionPart } from './PredictionPart.tsx'
import { ownFigures, useRoom } from './roomstore.ts'
import { StringBar } from './StringBar.tsx'
import { StringsTable, Verdicts } from './StringsResult.tsx'
import {
  chooseInstrument,
  closeInput,
  freeze,
  keepLast,
  openDevice,
  resetMeter,
  stringsOfStudy,
  tell,
} from './session.ts'
import { TakesPart } from './TakesPart.tsx'
import { startTakes } from './takes.ts'
import { benchWithTake } from './tobench.ts'
import { useOneHandKeys } from './useOneHandKeys.ts'

export function RoomView() {
  const offered = useOffered()
  const { query } = useRoute()
  const state = useRoom()
  const { guide, input, noise, judged, strings, takeId, said } = state
  const [methods, setMethods] = useState(firstMethods)
  const [frozen, setFrozen] = useState<Frozen | null>(null)
  const [benchProblem, setBenchProblem] = useState<string | null>(null)
  const chosen = offered.find(({ instrument }) => instrument.id === state.instrument)
  const instrument = (chosen ?? offered.find(({ instrument: one }) => one.id === query.instrument) ?? offered[0])
    ?.instrument

  useEffect(() => {
    const one = offered.find((entry) => entry.instrument.id === instrument?.id)
    if (one !== undefined) chooseInstrument(one.instrument, one.strings)
  }, [offered, instrument])
  useEffect(() => {
    void startTakes()
    // Nothing is heard while another page is shown; what was kept is here again when this one is.
    return () => void closeInput()
  }, [])

  const advance = (): void => {
    if (guide.step === 'input') {
      if (!state.opening) void openDevice()
    } else tell({ kind: 'advance' })
  }
  const hold = (): void => {
    if (frozen !== null) setFrozen(null)
    else void freeze().then((snapshot) => setFrozen(snapshot?.samples.length === 0 ? null : snapshot))
  }
  useOneHandKeys({ advance, letters: { s: () => tell({ kind: 'skip' }), f: hold, k: () => void keepLast() } })

  if (instrument === undefined) {
    return (
      <main className="content room">
        <h1>Room</h1>
        <p>No instrument is there: add one on the Instruments page.</p>
      </main>
    )
  }
  const taking = ['noise', 'pluck', 'keep'].includes(guide.step)
  const own = strings.flatMap(({ id }) => ownFigures(judged, id) ?? [])
  const live = input !== null && (
    <LivePart
      key="live"
      live={input.live}
      toleranceCents={instrument.toleranceCents}
      methods={methods}
      onMethods={setMethods}
      frozen={frozen}
      onBack={() => setFrozen(null)}
    />
  )
  const results = noise !== null && (
    <section key="results" className="room-part" aria-labelledby="room-results">
      <h2 id="room-results">What this room does</h2>
      <Verdicts strings={strings} judged={judged} />
      {takeId !== null && guide.step === 'done' && (
        <PredictionPart
          key={takeId}
          {...{ takeId, kind: instrument.kind, noise, strings, judged, methods, working: state.working > 0 }}
        />
      )}
      <StringsTable strings={strings} noise={noise} judged={judged} />
      <NoiseResult noise={noise} />
      {takeId !== null && (
        <>
          <h3>Two takes side by side</h3>
          <ComparePart takeId={takeId} own={{ noise, strings: own }} strings={strings} />
          <div className="room-actions">
            <button
              type="button"
              className="button tall"
              onClick={() =>
                void benchWithTake(
                  takeId,
                  stringsOfStudy(),
                  own.flatMap(({ ratioDb }) => ratioDb ?? []),
                ).then(setBenchProblem)
              }
            >
              Run the Bench in this room
            </button>
            <p className="quiet">
              The methods of the Bench, on this instrument’s strings, in this noise take, at the ratios measured here
              and 6 dB to either side.
            </p>
          </div>
          {benchProblem !== null && (
            <p className="problem" role="alert">
              {benchProblem}
            </p>
          )}
        </>
      )}
    </section>
  )
  return (
    <main className={taking ? 'content room taking' : 'content room'}>
      <div className="page-head">
        <h1>Room</h1>
        <span className="quiet question">What does this room do to this pickup?</span>
      </div>
      <InputSentence
        instruments={offered.map((one) => one.instrument)}
        onInstrument={(id) => {
          const one = offered.find((entry) => entry.instrument.id === id)
          if (one === undefined) return
          if (input?.madeUp === true) void closeInput()
          chooseInstrument(one.instrument, one.strings)
        }}
      />
      {input?.notes.map((note) => (
        <p key={note} className="notes">
          {note}
        </p>
      ))}
      <GuidePart instrument={instrument} onAdvance={advance} />
      {(guide.step === 'reminder' || guide.step === 'input') && noise === null && <Purpose />}
      {input !== null && <LevelMeterPicture onReset={resetMeter} />}
      {input !== null && !input.madeUp && <ChecksPart live={input.live} />}
      {guide.step === 'done' ? [results, live] : [live, results]}
      <TakesPart open={takeId} />
      <p className="unseen" role="status">
        {said}
      </p>
      <StringBar frozen={frozen !== null} onFreeze={hold} onKeep={() => void keepLast()} />
    </main>
  )
}

/** Before anything is heard: what comes, and what it is for. */
function Purpose() {
  return (
    <section className="room-part">
      <h2>What comes</h2>
      <ol className="room-steps">
        <li>The room alone, strings damped, for eight seconds.</li>
        <li>Every string once, three seconds each. The pluck is noticed by itself.</li>
        <li>
          How far each string stands over this room, partial by partial; which steady tones lie on a note; and the
          methods live, side by side.
        </li>
      </ol>
      <p className="quiet">
        One hand is enough: any key or pedal goes on, S skips a string, F freezes the last 20 s, K keeps them. Nothing
        that is heard leaves this machine.
      </p>
    </section>
  )
}
