/** Readings and spectrum, one above the other on the same time axis; or their figures as tables. */
import { type ReactNode, useMemo } from 'react'
import { centsBetween } from '../../core/maths/units.ts'
import type { Reading } from '../../core/methods/method.ts'
import type { Study } from '../../core/study/study.ts'
import { useWidth } from '../bench/size.ts'
import { MarkIcon } from '../bench/slots.tsx'
import { PartialsTable } from './PartialsTable.tsx'
import { Playhead } from './Playhead.tsx'
import { type Margins, ReadingsChart } from './ReadingsChart.tsx'
import { ReadingsTable } from './ReadingsTable.tsx'
import { type Frame, limitCents } from './ruler.ts'
import { SpectrumPicture } from './SpectrumPicture.tsx'
import type { HeardPosition } from './useHearing.ts'
import type { SeenTrial } from './useTrial.ts'

const wideLeftPx = 60
/** 13 px letters, on average; a gap before and after the name. */
const letterPx = 7.3
const nameGapPx = 14
const leastNamesPx = 100
const narrowMargins: Margins = { left: 44, right: 8 }
/** Names at the right need room that a narrow picture has not. */
const leastForNamesPx = 560

export function Pictures(props: {
  study: Study
  seen: SeenTrial
  chosen: string
  coloured: readonly string[]
  as: 'charts' | 'table'
  narrow: boolean
  position: HeardPosition
  asSwitch: ReactNode
}) {
  const { study, seen, chosen, coloured, as, narrow, position, asSwitch } = props
  const [place, widthPx] = useWidth<HTMLDivElement>()
  const { replay, examination, span } = seen
  const { take } = replay.rendered
  const truth = take.truth
  const onsetS = truth?.onsetS ?? study.leadS
  const named = widthPx >= leastForNamesPx
  const longest = Math.max(...coloured.map((id) => id.length))
  const margins = useMemo(
    (): Margins =>
      named ? { left: wideLeftPx, right: Math.max(leastNamesPx, longest * letterPx + nameGapPx) } : narrowMargins,
    [named, longest],
  )
  const frame = useMemo((): Frame => {
    const plotPx = Math.max(0, widthPx - margins.left - margins.right)
    return { widthPx: plotPx, heightPx: narrow ? 250 : 296, ...span, onsetS }
  }, [widthPx, margins, narrow, span, onsetS])
  const spectrumFrame = useMemo((): Frame => ({ ...frame, heightPx: narrow ? 190 : 216 }), [frame, narrow])
  const track = replay.tracks.find(({ method }) => method.id === chosen)

  const marked = replay.scene.noString ? '' : narrow ? ', partials marked' : ', the string’s partials marked'
  const spectrumTitle = `Spectrum${narrow ? ' in Hz' : ' of the mix'}${marked}`

  return (
    <div className="pictures" ref={place}>
      <div className="picture-title">
        <h2>{narrow ? 'Cents from the truth' : 'Readings, cents from the truth, over seconds from the pluck'}</h2>
        {asSwitch}
      </div>
      {truth !== null && as === 'table' && (
        <ReadingsTable
          tracks={replay.tracks}
          settledHz={truth.settledHz}
          onsetS={onsetS}
          sampleRateHz={take.sampleRateHz}
          settings={study.claim}
        />
      )}
      {truth !== null && as === 'charts' && widthPx > 0 && (
        <div className="with-playhead">
          <ReadingsChart
            tracks={replay.tracks}
            truth={truth}
            stringSounds={!replay.scene.noString}
            sampleRateHz={take.sampleRateHz}
            settings={study.claim}
            chosen={chosen}
            coloured={coloured}
            frame={frame}
            margins={margins}
          />
          <Playhead position={position} frame={frame} left={margins.left} top={6} heightPx={frame.heightPx} />
        </div>
      )}
      {as === 'charts' && !named && (
        <ul className="legend">
          {coloured.map((id) => (
            <li key={id}>
              <MarkIcon methodId={id} />
              {id}
            </li>
          ))}
        </ul>
      )}
      {track !== undefined && truth !== null && (
        <p className="notes reading-notes">
          {countsOf(track.readings, take.sampleRateHz, truth.settledHz, onsetS, chosen, as === 'charts')}
        </p>
      )}
      <h2>{spectrumTitle}</h2>
      {as === 'table' ? (
        <PartialsTable examination={examination} stringSounds={!replay.scene.noString} />
      ) : (
        widthPx > 0 && (
          <div className="with-playhead">
            <SpectrumPicture
              spectrogram={examination.spectrogram}
              partials={examination.partials}
              tone={examination.tone}
              stringSounds={!replay.scene.noString}
              frame={spectrumFrame}
              margins={margins}
            />
            <Playhead
              position={position}
              frame={spectrumFrame}
              left={margins.left}
              top={6}
              heightPx={spectrumFrame.heightPx}
            />
          </div>
        )
      )}
    </div>
  )
}

/** What the chart alone leaves open: gaps and edges, counted over the readings heard wholly after the pluck. */
function countsOf(
  readings: readonly Reading[],
  sampleRateHz: number,
  settledHz: number,
  onsetS: number,
  method: string,
  drawn: boolean,
): string {
  const heard = readings.filter(({ fromSample }) => fromSample / sampleRateHz >= onsetS)
  const answered = heard.filter(({ f0Hz }) => f0Hz > 0)
  const off = answered.filter(({ f0Hz }) => Math.abs(centsBetween(f0Hz, settledHz)) > limitCents).length
  const declined = heard.length - answered.length
  const declinedWords =
    declined === 0 ? 'none declined' : `${declined} declined${drawn ? ' (ticks under the chart)' : ''}`
  const offWords = off === 0 ? 'none off the scale' : `${off} off the scale${drawn ? ' (arrows at its edge)' : ''}`
  return `${method}: ${heard.length} readings after the pluck, ${declinedWords}, ${offWords}.`
}
