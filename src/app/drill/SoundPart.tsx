/** Whether the strings are heard by the person too. Off until asked for, and then behind the caution. */
import { useEffect, useRef, useState } from 'react'
import { cautionRead, readCaution } from '../caution.ts'
import { Level } from '../trial/HearIt.tsx'
import { setLevelDb, setSound } from './attempt.ts'
import { useDrill } from './drillstore.ts'

export function SoundPart() {
  const sound = useDrill((state) => state.sound)
  const levelDb = useDrill((state) => state.levelDb)
  const [asks, setAsks] = useState(false)
  const button = useRef<HTMLButtonElement | null>(null)
  useEffect(() => {
    if (asks) button.current?.focus()
  }, [asks])
  const press = (): void => {
    if (sound) setSound(false)
    else if (cautionRead()) setSound(true)
    else setAsks(true)
  }
  const understood = (): void => {
    readCaution()
    setAsks(false)
    setSound(true)
  }
  return (
    <section className="drill-sound" aria-label="Sound">
      <p className={asks ? 'caution asks' : 'caution'}>
        {asks && <strong>Before the first sound: </strong>}
        85 dBA for 8 hours is the usual daily limit; every 3 dB more halves the time. Sound starts quiet: raise it
        slowly.
      </p>
      <div className="drill-sound-row">
        {asks ? (
          <button ref={button} type="button" className="button" onClick={understood}>
            Understood, sound on
          </button>
        ) : (
          <button type="button" className="button" aria-pressed={sound} onClick={press}>
            {sound ? 'Sound is on' : 'Sound is off'}
          </button>
        )}
        {sound && <Level hearing={{ levelDb, setLevelDb }} />}
      </div>
      {!sound && !asks && <p className="notes">The methods hear the strings all the same.</p>}
    </section>
  )
}
