/** Two optional checks of the input with a steady tone: whether something works on it unseen, and how fast its clock runs. */
import { useEffect, useRef, useState } from 'react'
import { mostKnownPpm } from '../../core/room/clockrate.ts'
import { clockWords, measuredWords, steadyToneWords } from '../../core/room/inputwords.ts'
import type { Measured, SteadyToneFigures } from '../../core/room/steadytone.ts'
import { toneRangeHz } from '../../core/room/tonetrack.ts'
import type { Live } from '../../host/live.ts'
import { cautionRead } from '../caution.ts'
import { sentenceOf } from '../instruments/store.ts'
import '../style/benchparts.css'
import '../style/roomchecks.css'
import { FirstSound } from './FirstSound.tsx'
import { type CheckResult, checkInput, roomS, toneS } from './inputcheck.ts'
import { toneHz } from './tonesource.ts'

type Phase = 'room' | 'tone' | 'figures'

export function ChecksPart({ live }: { live: Live }) {
  const [phase, setPhase] = useState<Phase | null>(null)
  const [result, setResult] = useState<CheckResult | string | null>(null)
  const [typedHz, setTypedHz] = useState('')
  const [typedPpm, setTypedPpm] = useState('50')
  const [asks, setAsks] = useState(false)
  const running = useRef<AbortController | null>(null)
  useEffect(() => () => running.current?.abort(), [])
  const known = knownOf(typedHz, typedPpm)

  const begin = async (plays: boolean): Promise<void> => {
    if (known !== null && 'problem' in known) {
      setResult(known.problem)
      return
    }
    const own = new AbortController()
    running.current = own
    setResult(null)
    try {
      const told = await checkInput({ live, plays, known, gone: own.signal, onPhase: setPhase })
      if (!own.signal.aborted) setResult(told)
    } catch (cause) {
      setResult(sentenceOf(cause))
    }
    setPhase(null)
  }
  return (
    <details className="fold room-checks">
      <summary>
        <h2>Check this input</h2>
        <span className="quiet">Optional, {roomS + toneS} s: is it worked on unseen, and does its clock run true?</span>
      </summary>
      <div className="fold-body">
        <p>
          Play a steady tone into this input, clearly louder than the room: an organ sound, a generator, another phone.
          First {roomS} s of the room alone, then {toneS} s of the tone. Nothing may move meanwhile.
        </p>
        <div className="room-checks-fields">
          <label className="text-field">
            Its frequency, Hz, if you know it
            <input
              inputMode="decimal"
              value={typedHz}
              placeholder="not known"
              onChange={({ target }) => setTypedHz(target.value)}
            />
          </label>
          <label className="text-field">
            good to, ± ppm
            <input inputMode="decimal" value={typedPpm} onChange={({ target }) => setTypedPpm(target.value)} />
          </label>
        </div>
        {phase === null ? (
          <div className="room-actions">
            <button type="button" className="button tall" onClick={() => void begin(false)}>
              Begin: the tone comes from elsewhere
            </button>
            <button
              type="button"
              className="button tall"
              onClick={() => (cautionRead() ? void begin(true) : setAsks(true))}
            >
              Begin: play {toneHz} Hz from here
            </button>
          </div>
        ) : (
          <Running phase={phase} onStop={() => running.current?.abort()} />
        )}
        {asks && (
          <FirstSound
            begins="begin"
            onRead={() => {
              setAsks(false)
              void begin(true)
            }}
          >
            Turn the loudspeaker down first and raise it slowly, never with headphones on. With the microphone sent to a
            loudspeaker it may howl.
          </FirstSound>
        )}
        <div aria-live="polite">{result !== null && phase === null && <Result result={result} />}</div>
      </div>
    </details>
  )
}

function Running({ phase, onStop }: { phase: Phase; onStop(): void }) {
  const words = {
    room: 'The room alone. No tone yet.',
    tone: 'Now the tone, and let it sound.',
    figures: 'Figures are being made.',
  } as const
  return (
    <>
      <p className="room-checks-now" role="status">
        {words[phase]}
      </p>
      {phase !== 'figures' && (
        <div className="room-progress" aria-hidden="true">
          <span key={phase} style={{ animationDuration: `${phase === 'room' ? roomS : toneS}s` }} />
        </div>
      )}
      <div className="room-actions">
        <button type="button" className="button tall" onClick={onStop}>
          Break it off
        </button>
      </div>
    </>
  )
}

function Result({ result }: { result: CheckResult | string }) {
  if (typeof result === 'string') return <p className="problem">{result}</p>
  const { tone, clock, heardS, plays, known } = result
  const lost = heardS < roomS + toneS - 1
  if (tone === null) {
    return (
      <p className="problem">
        {known === null || plays
          ? 'No steady tone stands over this room: play it louder or nearer, and test again.'
          : `No tone within half a semitone of ${known.hz} Hz stands over this room: look at the figure, or play it louder.`}
      </p>
    )
  }
  const told = steadyToneWords(tone, plays)
  const rate = clock === null ? null : clockWords(clock)
  return (
    <>
      {lost && <p className="problem">Sound was lost on the way: only the last {heardS.toFixed(1)} s are whole.</p>}
      <h3>The steady tone</h3>
      <p className="room-verdict">{told.sentence}</p>
      {told.reasons.map((reason) => (
        <p key={reason} className="quiet">
          {reason}
        </p>
      ))}
      <Figures tone={tone} />
      <h3>The clock</h3>
      {rate === null ? (
        <p className="quiet">{unclocked(result)}</p>
      ) : (
        <>
          <p className="room-verdict">{rate.sentence}</p>
          {rate.reasons.map((reason) => (
            <p key={reason} className="quiet">
              {reason}
            </p>
          ))}
        </>
      )}
    </>
  )
}

function unclocked({ plays, known }: CheckResult): string {
  if (plays) return 'Not checked: a tone from this machine comes by this machine’s own clock and says nothing about it.'
  if (known === null) return 'Not checked: type the frequency of a tone that you know, and how well, and test again.'
  return 'Not told: the tone was too short for it.'
}

const standingWords = { within: 'within', beyond: 'beyond', open: 'not told' } as const

function Figures({ tone }: { tone: SteadyToneFigures }) {
  const { changeDb, wanderDb, gaps, floorStepDb } = tone
  const rows: readonly (readonly [string, Measured | null])[] = [
    ['Level, last 3 s over first 0.5 s', changeDb],
    ['Wander about a line, rms', wanderDb],
    ['Room, during the tone over before', floorStepDb],
  ]
  return (
    // biome-ignore lint/a11y/noNoninteractiveTabindex: what scrolls must be reachable by key
    <section className="table-place" aria-label="Figures of the steady tone" tabIndex={0}>
      <table className="room-table">
        <caption className="notes">
          {tone.hz.toFixed(2)} Hz at {tone.levelDbfs.toFixed(0).replace('-', '−')} dB of full scale,{' '}
          {tone.overRoomDb.toFixed(0)} dB over the room beside it, from {tone.fromS.toFixed(1)} to {tone.toS.toFixed(1)}{' '}
          s
        </caption>
        <thead>
          <tr>
            <th scope="col">What</th>
            <th scope="col">Told, 95 %</th>
            <th scope="col">Limit</th>
            <th scope="col">n</th>
            <th scope="col">Standing</th>
          </tr>
        </thead>
        <tbody>
          {rows.map(([title, measured]) => (
            <tr key={title}>
              <th scope="row">{title}</th>
              <td>{measured === null ? '—' : measuredWords(measured)}</td>
              <td>{measured === null ? '' : `±${measured.limit} dB`}</td>
              <td>{measured?.n}</td>
              <td>{measured === null ? 'not heard' : standingWords[measured.standing]}</td>
            </tr>
          ))}
          <tr>
            <th scope="row">Gaps under half the tone</th>
            <td>
              {gaps.count}, {gaps.totalS.toFixed(1)} s
            </td>
            <td>0</td>
            <td>{changeDb.n}</td>
            <td>{standingWords[gaps.standing]}</td>
          </tr>
        </tbody>
      </table>
    </section>
  )
}

function knownOf(hzText: string, ppmText: string): CheckResult['known'] | { readonly problem: string } {
  if (hzText.trim() === '') return null
  const { lowest, highest } = toneRangeHz
  const hz = numberOf(hzText)
  if (!(hz >= lowest && hz <= highest)) {
    return {
      problem: `Its frequency: ${hzText} is not a number from ${lowest} to ${highest} Hz. Leave it empty if it is not known.`,
    }
  }
  const ppm = numberOf(ppmText)
  if (!(ppm >= 0 && ppm <= mostKnownPpm)) {
    return {
      problem: `Good to: ${ppmText === '' ? 'nothing' : ppmText} is not a number from 0 to ${mostKnownPpm} ppm.`,
    }
  }
  return { hz, ppm }
}

const numberOf = (text: string): number => (text.trim() === '' ? Number.NaN : Number(text.replace(',', '.')))
