/** What is asked for now, in large words, with the buttons that answer it; and the way on without a microphone. */
import type { Instrument } from '../../core/instruments/instrument.ts'
import { InputProblem } from './InputProblem.tsx'
import { madeUpRatioDb, madeUpRooms, madeUpSeed } from './madeup.ts'
import { useRoom } from './roomstore.ts'
import { newTake, openInvented, resumeInput, tell } from './session.ts'
import { asking } from './words.ts'

export function GuidePart(props: { instrument: Instrument; onAdvance(): void }) {
  const { instrument, onAdvance } = props
  const { guide, strings, opening, working, input, problem } = useRoom()
  const titleOf = (id: string | null): string => strings.find((string) => string.id === id)?.title ?? ''
  const { title, note, action } = asking(guide, titleOf)
  const waits = guide.step === 'noise' || guide.step === 'keep'
  return (
    <section className="room-guide" aria-label="The take">
      <div className="room-ask" aria-live="polite">
        <p className="room-ask-title">{title}</p>
        <p className="quiet">{note}</p>
        {waits && (
          <div className="room-progress" aria-hidden="true">
            <span key={`${guide.step} ${guide.ticket}`} className={guide.step} />
          </div>
        )}
        {working > 0 && <p className="notes">Figures are being made: {working} to go.</p>}
      </div>
      <div className="room-actions">
        {action !== null && (
          <button type="button" className="button main" disabled={opening} onClick={onAdvance}>
            {opening ? 'Opening' : action}
          </button>
        )}
        {(guide.step === 'pluck' || guide.step === 'keep') && (
          <button type="button" className="button tall" aria-keyshortcuts="s" onClick={() => tell({ kind: 'skip' })}>
            Skip {titleOf(guide.asked)}
          </button>
        )}
        {guide.noise === 'kept' && guide.step !== 'noise' && guide.step !== 'input' && (
          <button type="button" className="button tall" onClick={() => tell({ kind: 'redo', string: null })}>
            Noise again
          </button>
        )}
        {guide.step === 'done' && (
          <button type="button" className="button tall" onClick={newTake}>
            New take
          </button>
        )}
        {guide.step === 'input' && (
          <button
            type="button"
            className="button tall"
            disabled={opening}
            onClick={() => void openInvented(instrument)}
          >
            Try it with a made-up take
          </button>
        )}
      </div>
      <InputProblem problem={problem} state={input?.state ?? null} onResume={() => void resumeInput()} />
      {input?.madeUp === true && (
        <p className="notes">
          {guide.step === 'damp' || guide.step === 'done'
            ? `Made up: ${instrument.title} in the room “${madeUpRooms[instrument.kind]}”, its third string ${madeUpRatioDb} dB over it, rendered from seed ${madeUpSeed}. An invented room and invented strings, heard by the same code; nothing is played.`
            : 'Made up: an invented room and invented strings.'}
        </p>
      )}
    </section>
  )
}
