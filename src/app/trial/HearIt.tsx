/** String, room or mix by ear, behind a level that starts low and a caution that is read before the first sound. */
import { useEffect, useRef } from 'react'
import { startLevelDb } from '../../host/audio.ts'
import type { Part } from '../../host/messages.ts'
import type { Hearing } from './useHearing.ts'

const parts: readonly { readonly part: Part; readonly word: string }[] = [
  { part: 'string', word: 'String' },
  { part: 'noise', word: 'Room' },
  { part: 'mix', word: 'Mix' },
]

/** A quarter of the slider is where it starts; the rest goes up. */
const quietestDb = startLevelDb - 10
const fullDb = 0

/** The three sides and Stop. */
export function HearButtons({ hearing, noString }: { hearing: Hearing; noString: boolean }) {
  return (
    <fieldset className="hear-buttons">
      <legend className="unseen">Hear it</legend>
      {parts.map(({ part, word }) => (
        <button
          key={part}
          data-part={part}
          type="button"
          className="button tall"
          disabled={part === 'string' && noString}
          aria-pressed={hearing.playing && hearing.part === part}
          {...(part === 'mix' ? { 'aria-keyshortcuts': 'Space' } : {})}
          onClick={() => hearing.press(part)}
        >
          {word}
        </button>
      ))}
      <button type="button" className="button tall" disabled={!hearing.playing} onClick={hearing.stop}>
        Stop
      </button>
    </fieldset>
  )
}

export function Level({ hearing }: { hearing: Pick<Hearing, 'levelDb' | 'setLevelDb'> }) {
  const share = (hearing.levelDb - quietestDb) / (fullDb - quietestDb)
  return (
    <label className="level">
      <span className="unseen">Level</span>
      <input
        type="range"
        min={quietestDb}
        max={fullDb}
        step={1}
        value={hearing.levelDb}
        aria-valuetext={`${hearing.levelDb} dB of full`.replace('-', '−')}
        style={{ '--share': `${100 * share}%` } as React.CSSProperties}
        onChange={(event) => hearing.setLevelDb(Number(event.target.value))}
      />
      <span className="level-ends notes" aria-hidden="true">
        <span>quiet</span>
        <span>full</span>
      </span>
    </label>
  )
}

/** What stands before the first sound. Asks for one press when sound was wanted. */
export function Caution(props: { hearing: Pick<Hearing, 'acknowledged' | 'asked' | 'acknowledge'>; asking: boolean }) {
  const { hearing, asking } = props
  const button = useRef<HTMLButtonElement | null>(null)
  const asks = asking && hearing.asked !== null && !hearing.acknowledged
  useEffect(() => {
    if (asks) button.current?.focus()
  }, [asks])
  const acknowledge = (): void => {
    const next = document.querySelector<HTMLElement>(`[data-part="${hearing.asked ?? 'mix'}"]`)
    hearing.acknowledge()
    // This button goes away; the keys stay with the sound.
    next?.focus()
  }
  return (
    <div className={asks ? 'caution asks' : 'caution'}>
      <p>
        {!hearing.acknowledged && <strong>Before the first sound: </strong>}
        85 dBA for 8 hours is the usual daily limit; every 3 dB more halves the time. Start low, raise slowly.
      </p>
      {!hearing.acknowledged && asking && (
        <button ref={button} type="button" className="button" onClick={acknowledge}>
          {asks ? `Understood, play the ${asWord(hearing.asked)}` : 'Understood'}
        </button>
      )}
    </div>
  )
}

const asWord = (part: Part | null): string => (part === 'noise' ? 'room' : (part ?? 'mix'))
