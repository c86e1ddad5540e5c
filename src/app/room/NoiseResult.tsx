/** The room alone: its picture, the steady tones by name, and the bands as a table. */
import type { NoiseFigures } from '../../core/room/noisetake.ts'
import { Fold } from '../bench/Fold.tsx'
import { NoisePicture } from './NoisePicture.tsx'
import { familyWords, nearWords, number, withRange } from './words.ts'

/** A hum has dozens of harmonics; the loudest are those that matter. */
const shownLines = 8

export function NoiseResult({ noise }: { noise: NoiseFigures }) {
  const { lines, strings, levelDbfs, peakDbfs, durationS, segments } = noise
  return (
    <>
      <p className="room-sentence">
        The room alone: {number(levelDbfs)} dB re full scale, peak {number(peakDbfs)}, over {durationS.toFixed(1)} s.{' '}
        {lines.length === 0
          ? 'No steady tone stands out.'
          : `${lines.length} steady ${lines.length === 1 ? 'tone stands' : 'tones stand'} out.`}
      </p>
      <NoisePicture noise={noise} />
      {lines.length > 0 && <LinesTable lines={lines.slice(0, shownLines)} strings={strings} />}
      {lines.length > shownLines && (
        <Fold title={`${lines.length - shownLines} weaker tones`} question="the rest, down to what just stands out">
          {() => <LinesTable lines={lines.slice(shownLines)} strings={strings} />}
        </Fold>
      )}
      <Fold title="Third octaves" question="the bands as figures">
        {() => (
          <section className="table-place" aria-label="Third octaves">
            <table className="room-table">
              <caption className="unseen">Third octaves with 95 % intervals</caption>
              <thead>
                <tr>
                  <th scope="col">band, Hz</th>
                  <th scope="col">level, dBFS (95 %), n = {segments} half-overlapped seconds</th>
                </tr>
              </thead>
              <tbody>
                {noise.thirdOctaves.map((band) => (
                  <tr key={band.nominalHz}>
                    <th scope="row">{band.nominalHz}</th>
                    <td>{withRange(band.levelDbfs, band.lowDbfs, band.highDbfs)}</td>
                  </tr>
                ))}
              </tbody>
            </table>
          </section>
        )}
      </Fold>
    </>
  )
}

function LinesTable({ lines, strings }: Pick<NoiseFigures, 'lines' | 'strings'>) {
  return (
    // biome-ignore lint/a11y/noNoninteractiveTabindex: a part that scrolls sideways must be reachable by keys
    <section className="table-place" aria-label="Steady tones" tabIndex={0}>
      <table className="room-table">
        <caption className="unseen">Steady tones of the room, loudest first</caption>
        <thead>
          <tr>
            <th scope="col">steady tone, Hz</th>
            <th scope="col">level, dBFS</th>
            <th scope="col">belongs to</th>
            <th scope="col">nearest partial</th>
          </tr>
        </thead>
        <tbody>
          {lines.map((line) => (
            <tr key={line.hz}>
              <th scope="row">{line.hz.toFixed(line.hz < 1000 ? 2 : 1)}</th>
              <td>{number(line.levelDbfs)}</td>
              <td>{familyWords(line.family)}</td>
              <td>{nearWords(line, strings)}</td>
            </tr>
          ))}
        </tbody>
      </table>
    </section>
  )
}
