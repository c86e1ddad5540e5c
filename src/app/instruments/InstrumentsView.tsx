/** What does another gauge or tuning do to this instrument? The list at the left, the open one beside it. */
import { useEffect } from 'react'
import { cautions } from '../../core/instruments/cautions.ts'
import '../style/instruments.css'
import '../style/instrumentfigures.css'
import '../style/instrumentform.css'
import { CompareView } from './CompareView.tsx'
import { EditForm } from './EditForm.tsx'
import { FileMenu } from './FileMenu.tsx'
import { InstrumentList } from './InstrumentList.tsx'
import { startKeeping } from './keeping.ts'
import { saveText } from './saveFile.ts'
import { openInstrument, redo, undo, useInstruments } from './store.ts'
import { useWide } from './useWide.ts'

export function InstrumentsView() {
  const phase = useInstruments((state) => state.phase)
  const instrument = useInstruments(openInstrument)
  const editing = useInstruments((state) => state.editing)
  const epoch = useInstruments((state) => state.epoch)
  const wide = useWide()
  useEffect(() => {
    void startKeeping()
  }, [])
  useKeys()
  if (phase === 'opening') return <main className="content">Opening the instruments</main>
  return (
    <main className="content instruments">
      <header className="page-head">
        <h1>Instruments</h1>
        <p className="quiet question">What does another gauge or tuning do?</p>
        <div className="head-actions">
          <Kept />
          <UndoButtons />
          <FileMenu />
        </div>
      </header>
      <Messages />
      <div className="instruments-main">
        {wide && <InstrumentList />}
        <div className="open-one">
          {instrument === undefined ? (
            <p className="quiet">No instrument is open. Add one, bring the demo back, or open a file.</p>
          ) : editing ? (
            <>
              <div className="edit-head">
                <h2>{instrument.title}</h2>
                <Actions editing />
              </div>
              <EditForm key={`${instrument.id} ${epoch}`} instrument={instrument} />
              <Cautions />
            </>
          ) : (
            <CompareView instrument={instrument} picker={!wide} actions={<Actions editing={false} />}>
              <Cautions />
            </CompareView>
          )}
          {!wide && !editing && <InstrumentList />}
        </div>
      </div>
    </main>
  )
}

function Actions({ editing }: { editing: boolean }) {
  const as = useInstruments((state) => state.as)
  return (
    <div className="open-actions">
      {!editing && (
        <button
          type="button"
          className="button as-button"
          onClick={() => useInstruments.setState({ as: as === 'charts' ? 'table' : 'charts' })}
        >
          {as === 'charts' ? 'Table' : 'Charts'}
        </button>
      )}
      <button
        type="button"
        className="button main"
        onClick={() => {
          useInstruments.setState({ editing: !editing, said: null })
          window.scrollTo(0, 0)
        }}
      >
        {editing ? 'Done' : 'Edit'}
      </button>
    </div>
  )
}

function UndoButtons() {
  const { past, present, future } = useInstruments((state) => state.history)
  const next = future[0]
  return (
    <>
      <button
        type="button"
        className="button"
        disabled={past.length === 0}
        aria-keyshortcuts="Control+Z"
        title={past.length === 0 ? 'Nothing to undo' : `Undo ${present.what}`}
        onClick={undo}
      >
        Undo
      </button>
      <button
        type="button"
        className="button"
        disabled={next === undefined}
        aria-keyshortcuts="Control+Shift+Z"
        title={next === undefined ? 'Nothing to redo' : `Redo ${next.what}`}
        onClick={redo}
      >
        Redo
      </button>
    </>
  )
}

function Kept() {
  const savedAt = useInstruments((state) => state.savedAt)
  if (savedAt === null) return null
  const time = new Date(savedAt).toLocaleTimeString('en-GB', { hour: '2-digit', minute: '2-digit', second: '2-digit' })
  return <p className="notes kept">kept {time}</p>
}

/** What was just done, what was refused, and that nothing is kept when it is so. */
function Messages() {
  const said = useInstruments((state) => state.said)
  const notice = useInstruments((state) => state.notice)
  const refused = useInstruments((state) => state.storageRefused)
  const canUndo = useInstruments((state) => state.history.past.length > 0)
  const { rest } = notice ?? {}
  return (
    <div className="messages">
      {refused && (
        <p className="problem" role="alert">
          This browser refuses to keep anything, so the instruments live until this page closes. Save a file under File.
        </p>
      )}
      {notice !== null && (
        <div className="problem" role="alert">
          {notice.text}
          <div className="problem-actions">
            {rest !== undefined && (
              <button type="button" className="button" onClick={() => saveText('clatterbench-set-aside.json', rest)}>
                Save what was kept as a file
              </button>
            )}
            <button type="button" className="button" onClick={() => useInstruments.setState({ notice: null })}>
              Put this away
            </button>
          </div>
        </div>
      )}
      <div role="status" className="said">
        {said !== null && (
          <>
            <span>{said}</span>
            {canUndo && !said.startsWith('Undone') && (
              <button type="button" className="button" onClick={undo}>
                Undo
              </button>
            )}
          </>
        )}
      </div>
    </div>
  )
}

function Cautions() {
  return (
    <ul className="cautions" aria-label="Cautions">
      {cautions.map((caution) => (
        <li key={caution}>{caution}</li>
      ))}
    </ul>
  )
}

/** Undo and redo as everywhere; inside a field they are the field's own. T and C as on the bench. */
function useKeys(): void {
  useEffect(() => {
    const hear = (event: KeyboardEvent): void => {
      const { target } = event
      if (target instanceof HTMLElement && target.closest('input, textarea, select, [role="dialog"]') !== null) return
      if (event.altKey) return
      const letter = event.key.toLowerCase()
      if (!event.ctrlKey && !event.metaKey) {
        if (letter === 't' || letter === 'c') useInstruments.setState({ as: letter === 't' ? 'table' : 'charts' })
        return
      }
      if (letter !== 'z' && letter !== 'y') return
      event.preventDefault()
      if (letter === 'y' || event.shiftKey) redo()
      else undo()
    }
    window.addEventListener('keydown', hear)
    return () => window.removeEventListener('keydown', hear)
  }, [])
}
