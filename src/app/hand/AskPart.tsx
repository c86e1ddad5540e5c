/** What is asked for now, in large digits and words, how far it is, and the buttons that answer it. */
import { fewestPairs } from '../../core/plan/handfit.ts'
import { counted } from '../bench/figures.ts'
import { InputProblem } from '../room/InputProblem.tsx'
import { type HandString, useHand } from './handstore.ts'
import { bringBack, clearAway, closeInput, openInput, redo, resumeInput } from './session.ts'
import { asked, progressWords } from './words.ts'

export function AskPart({ string }: { string: HandString }) {
  const { guide, input, opening, problem, reading, cleared, unkept } = useHand()
  const n = guide.pairs.length
  const listens = input !== null
  const { digits, title, note } = listens ? asked(guide, string.title) : idle(n)
  return (
    <section className="room-guide hand-ask" aria-label="The measuring">
      <div className="room-ask">
        {digits !== '' && (
          <p className="hand-digits" aria-hidden="true">
            {digits}
            <span> c</span>
          </p>
        )}
        <div aria-live="polite">
          <p className="room-ask-title">{reading ? 'Heard: hold still' : title}</p>
          <p className="quiet">{reading ? 'It is being read.' : note}</p>
        </div>
      </div>
      <div className="hand-progress">
        <div className="hand-bar" aria-hidden="true">
          {Array.from({ length: Math.max(fewestPairs, n) }, (_, at) => (
            // biome-ignore lint/suspicious/noArrayIndexKey: places, not things
            <span key={at} className={at < n ? 'done' : ''} />
          ))}
        </div>
        <p>{progressWords(n)}</p>
      </div>
      <div className="room-actions">
        {listens ? (
          <button type="button" className="button main" aria-keyshortcuts="E" onClick={() => void closeInput()}>
            Stop
          </button>
        ) : (
          <button type="button" className="button main" disabled={opening} onClick={() => void openInput()}>
            {opening ? 'Opening' : n === 0 ? 'Open the input' : 'Go on measuring'}
          </button>
        )}
        {n > 0 && (
          <button type="button" className="button tall" aria-keyshortcuts="R" onClick={redo}>
            {listens ? 'Last turn again' : 'Forget the last turn'}
          </button>
        )}
        {!listens && n > 0 && (
          <button type="button" className="button tall" onClick={clearAway}>
            Begin anew
          </button>
        )}
        {cleared.length > 0 && (
          <button type="button" className="button tall" onClick={bringBack}>
            Bring back {counted(cleared.length, 'turn')}
          </button>
        )}
      </div>
      <InputProblem problem={problem} state={input?.state ?? null} onResume={() => void resumeInput()} />
      {unkept && <p className="notes">The browser refuses to keep these turns: they last until this page is closed.</p>}
      {!listens && (
        <p className="hand-caution">
          <strong>A breaking string can hit an eye.</strong> Keep your face away and tune up slowly. The string is let
          down by up to 140 c and comes back, never over its note. Choose one whose note it bears on this instrument; an
          old or rusty one is none for this.
        </p>
      )}
    </section>
  )
}

function idle(n: number): { digits: string; title: string; note: string } {
  if (n === 0)
    return {
      digits: '',
      title: 'Fifteen turns of a real peg',
      note: 'Pluck, read, turn by so many cents, pluck again. Nothing is played.',
    }
  if (n < fewestPairs)
    return {
      digits: '',
      title: `${counted(n, 'turn')} kept`,
      note: `${fewestPairs - n} more tell a hand; until then plans go by assumptions.`,
    }
  return { digits: '', title: `Measured, n ${n}`, note: 'Kept by this browser. Plans can reckon with it.' }
}
