/** The last seconds, held still: every method heard over them again, as tracks about the note, and the sound itself. */
import { useEffect, useRef, useState } from 'react'
import playerUrl from '../../../worklets/player.ts?worker&url'
import { centsBetween } from '../../core/maths/units.ts'
import { methodById } from '../../core/methods/index.ts'
import type { RoomString } from '../../core/room/roomstring.ts'
import { type Audio, openAudio } from '../../host/audio.ts'
import type { LiveChoice, Snapshot } from '../../host/livemessages.ts'
import { openPlayer, type Player } from '../../host/player.ts'
import { useWidth } from '../bench/size.ts'
import { MarkIcon, slotOf } from '../bench/slots.tsx'
import { cautionRead } from '../caution.ts'
import { sentenceOf } from '../instruments/store.ts'
import { rulerTicks, yOf } from '../trial/ruler.ts'
import { FirstSound } from './FirstSound.tsx'
import { figuresOf, type TrackPoint } from './figures.ts'

export interface Frozen extends Snapshot {
  readonly sampleRateHz: number
}

const heightPx = 260
const leftPx = 40
/** Half a label stands over the uppermost line. */
const topPx = 8
const axisPx = 22
/** A line goes on over a hop or two, not over a silence. */
const gapS = 0.1

export function FrozenPart(props: {
  frozen: Frozen
  methods: readonly LiveChoice[]
  string: RoomString | null
  lowestHz: number
  highestHz: number
  onBack(): void
}) {
  const { frozen, methods, lowestHz, highestHz, onBack } = props
  // The string that was found dies away while the sound is held still: what is shown stays about it.
  const [string, setString] = useState(props.string)
  if (props.string !== null && props.string !== string) setString(props.string)
  const { samples, sampleRateHz } = frozen
  const [tracks, setTracks] = useState<readonly (readonly TrackPoint[])[] | null>(null)
  const [problem, setProblem] = useState<string | null>(null)
  const place = useRef<HTMLElement | null>(null)
  // It may lie under a page of figures: who holds the sound wants to see it.
  useEffect(() => {
    place.current?.scrollIntoView({ block: 'nearest' })
  }, [])
  const heard = methods.filter(({ id }) => string !== null || methodById(id).family !== 'aimed')
  const targetHz = string?.targetHz ?? null

  // biome-ignore lint/correctness/useExhaustiveDependencies: what is frozen does not change while it is shown
  useEffect(() => {
    let gone = false
    const stream = { sampleRateHz, lowestHz, highestHz, targetHz, room: null }
    void figuresOf({ kind: 'replay', samples, stream, methods: heard }).then((answer) => {
      if (gone) return
      if (answer.kind === 'replay') setTracks(answer.tracks)
      else if (answer.kind === 'problem') setProblem(answer.what)
    })
    return () => {
      gone = true
    }
  }, [frozen, targetHz])

  return (
    <section className="room-frozen" aria-label="The last seconds" ref={place}>
      <p className="room-sentence">
        The last {(samples.length / sampleRateHz).toFixed(1)} s, held still.{' '}
        {string === null ? 'Choose a string to see readings about its note.' : `Readings about ${string.title}.`}
      </p>
      {problem !== null && (
        <p className="problem" role="alert">
          {problem}
        </p>
      )}
      {tracks === null && problem === null && <p className="quiet">The methods hear it again</p>}
      {tracks !== null && targetHz !== null && (
        <Tracks tracks={tracks} methods={heard} targetHz={targetHz} durationS={samples.length / sampleRateHz} />
      )}
      <div className="room-actions">
        <HearFrozen frozen={frozen} onProblem={setProblem} />
        <button type="button" className="button tall" onClick={onBack}>
          Back to live
        </button>
      </div>
    </section>
  )
}

function Tracks(props: {
  tracks: readonly (readonly TrackPoint[])[]
  methods: readonly LiveChoice[]
  targetHz: number
  durationS: number
}) {
  const { tracks, methods, targetHz, durationS } = props
  const [place, widthPx] = useWidth<HTMLDivElement>()
  const inner = { widthPx: Math.max(0, widthPx - leftPx), heightPx: heightPx - axisPx - topPx }
  const x = (atS: number): number => leftPx + (atS / durationS) * inner.widthPx
  const y = (cents: number): number => topPx + yOf(Math.max(-50, Math.min(50, cents)), inner)
  const step = durationS > 10 ? 5 : durationS > 4 ? 2 : 1
  const times = Array.from({ length: Math.floor(durationS / step) + 1 }, (_, i) => i * step)
  return (
    <div ref={place}>
      <ul className="room-legend">
        {methods.map(({ id }, i) => (
          <li key={id}>
            <MarkIcon methodId={id} />
            {methodById(id).title}, {withinWords(tracks[i] ?? [], targetHz)}
          </li>
        ))}
      </ul>
      {widthPx > 0 && (
        <svg width={widthPx} height={heightPx} role="img" aria-label="Cents off the note over time, one line a method">
          {rulerTicks
            .filter((cents) => Math.abs(cents) !== 1)
            .map((cents) => (
              <g key={cents}>
                <path
                  d={`M${leftPx} ${y(cents)}H${widthPx}`}
                  stroke={cents === 0 ? 'var(--edge)' : 'var(--hairline)'}
                />
                <text className="chart-note" x={leftPx - 6} y={y(cents) + 4} textAnchor="end">
                  {cents > 0 ? `+${cents}` : `${cents}`.replace('-', '−')}
                </text>
              </g>
            ))}
          {times.map((atS) => (
            <text
              className="chart-note"
              key={atS}
              x={x(atS)}
              y={heightPx - 5}
              textAnchor={x(atS) > widthPx - 20 ? 'end' : 'middle'}
            >
              {atS} s
            </text>
          ))}
          {tracks.map((track, i) => {
            const slot = slotOf(methods[i]?.id ?? '')
            return (
              <path
                key={methods[i]?.id}
                d={pathOf(track, targetHz, x, y)}
                fill="none"
                stroke={slot.colour}
                strokeWidth={2}
                {...(slot.dash === undefined ? {} : { strokeDasharray: slot.dash })}
              />
            )
          })}
        </svg>
      )}
    </div>
  )
}

/** Readings beyond the scale are another note: they break the line. */
function pathOf(
  track: readonly TrackPoint[],
  targetHz: number,
  x: (atS: number) => number,
  y: (cents: number) => number,
): string {
  let path = ''
  let lastS = Number.NEGATIVE_INFINITY
  for (const { atS, f0Hz } of track) {
    const cents = centsBetween(f0Hz, targetHz)
    if (!(Math.abs(cents) <= 50)) continue
    path += `${atS - lastS > gapS ? 'M' : 'L'}${x(atS).toFixed(1)} ${y(cents).toFixed(1)}`
    lastS = atS
  }
  return path
}

function withinWords(track: readonly TrackPoint[], targetHz: number): string {
  const near = track.filter(({ f0Hz }) => Math.abs(centsBetween(f0Hz, targetHz)) <= 50).length
  return `${near} of ${track.length} readings within 50 c`
}

/** Sound begins low, in a press, after the caution was read. */
function HearFrozen({ frozen, onProblem }: { frozen: Frozen; onProblem(what: string): void }) {
  const [asks, setAsks] = useState(false)
  const [playing, setPlaying] = useState(false)
  const opened = useRef<{ audio: Audio; player: Player } | null>(null)
  useEffect(
    () => () => {
      opened.current?.player.close()
      void opened.current?.audio.close()
      opened.current = null
    },
    [],
  )
  const play = async (): Promise<void> => {
    try {
      if (opened.current === null) {
        const audio = openAudio()
        const { samples, sampleRateHz } = frozen
        const take = { string: samples, noise: new Float32Array(samples.length), sampleRateHz }
        const player = await openPlayer(playerUrl, audio.output, take, { part: 'mix' })
        player.onPosition((_, sounding) => setPlaying(sounding))
        opened.current = { audio, player }
      }
      await opened.current.audio.resume()
      opened.current.player.play()
    } catch (cause) {
      onProblem(sentenceOf(cause))
    }
  }
  const press = (): void => {
    if (playing) opened.current?.player.pause()
    else if (cautionRead()) void play()
    else setAsks(true)
  }
  return (
    <>
      <button type="button" className="button tall" onClick={press}>
        {playing ? 'Stop' : 'Hear it'}
      </button>
      {asks && (
        <FirstSound
          begins="play it"
          onRead={() => {
            setAsks(false)
            void play()
          }}
        >
          Start low, raise slowly. An open microphone near the loudspeaker may howl.
        </FirstSound>
      )}
    </>
  )
}
