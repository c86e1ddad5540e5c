/**
 * What the room sounds like through this input: third octaves with their intervals as steps, what lies within one Hz as a thin
 * line, and the instrument's partials as ticks above. The tables beside it hold the same figures.
 */
import { dbFromPowerRatio } from '../../core/maths/units.ts'
import type { NoiseFigures } from '../../core/room/noisetake.ts'
import { stringPartialHz, toldPartials } from '../../core/room/roomstring.ts'
import { useWidth } from '../bench/size.ts'

const heightPx = 250
const leftPx = 40
const rightPx = 8
const axisPx = 24
/** A line of ticks a string. */
const tickRowPx = 13
const lowestHz = 22
const highestHz = 20_000
const hzTicks = [50, 100, 200, 500, 1000, 2000, 5000, 10_000]
/** What is further under the loudest band says nothing that could be heard beside it. */
const rangeDb = 90
const headroomDb = 6
const gridDb = 20

export function NoisePicture({ noise }: { noise: NoiseFigures }) {
  const [place, widthPx] = useWidth<HTMLDivElement>()
  const { strings, thirdOctaves, sampleRateHz } = noise
  const topPx = strings.length * tickRowPx + 6
  const endHz = Math.min(highestHz, sampleRateHz / 2)
  const x = (hz: number): number =>
    leftPx + ((widthPx - leftPx - rightPx) * Math.log(hz / lowestHz)) / Math.log(endHz / lowestHz)
  const line = widthPx > 0 ? narrowBand(noise, widthPx, (at) => lowestHz * (endHz / lowestHz) ** at) : []
  const loudest = Math.max(...thirdOctaves.map(({ highDbfs }) => highDbfs), ...line.map(([, db]) => db))
  const top = Math.ceil((loudest + headroomDb) / 10) * 10
  const lowest = Math.min(...line.map(([, db]) => db), ...thirdOctaves.map(({ lowDbfs }) => lowDbfs))
  const bottom = Math.max(top - rangeDb, Math.floor((Number.isFinite(lowest) ? lowest : top - rangeDb) / 10) * 10)
  const y = (db: number): number =>
    topPx + ((top - Math.max(bottom, db)) / (top - bottom)) * (heightPx - topPx - axisPx)
  const grid = Array.from({ length: 8 }, (_, i) => Math.ceil(bottom / gridDb) * gridDb + i * gridDb).filter(
    (db) => db <= top,
  )
  const narrow = line.map(([share, db], i) => {
    const at = leftPx + share * (widthPx - leftPx - rightPx)
    return `${i === 0 ? 'M' : 'L'}${at.toFixed(1)} ${y(db).toFixed(1)}`
  })
  return (
    <figure className="room-noise" ref={place as never}>
      {widthPx > 0 && (
        <svg
          width={widthPx}
          height={heightPx}
          role="img"
          aria-label="Noise by frequency, with the partials of every string; the tables have the figures"
        >
          {grid.map((db) => (
            <g key={db}>
              <path d={`M${leftPx} ${y(db)}H${widthPx - rightPx}`} stroke="var(--hairline)" />
              <text className="chart-note" x={leftPx - 6} y={y(db) + 4} textAnchor="end">
                {`${db}`.replace('-', '−')}
              </text>
            </g>
          ))}
          {hzTicks.map((hz) => (
            <g key={hz}>
              <path d={`M${x(hz)} ${topPx}V${heightPx - axisPx}`} stroke="var(--hairline)" />
              <text className="chart-note" x={x(hz)} y={heightPx - 6} textAnchor="middle">
                {hz < 1000 ? hz : `${hz / 1000}k`}
              </text>
            </g>
          ))}
          {strings.map((string, row) => (
            <g key={string.id}>
              <text className="chart-note" x={leftPx - 6} y={row * tickRowPx + 12} textAnchor="end">
                {string.title}
              </text>
              {Array.from({ length: toldPartials }, (_, i) => stringPartialHz(string, i + 1)).map((hz) => (
                <path
                  key={hz}
                  d={`M${x(hz)} ${row * tickRowPx + 3}v${tickRowPx - 4}`}
                  stroke="var(--text-1)"
                  strokeWidth={1.5}
                />
              ))}
            </g>
          ))}
          <path d={narrow.join('')} fill="none" stroke="var(--quiet)" strokeWidth={1} />
          {thirdOctaves.map((band) => {
            const [from, to] = [x(Math.max(lowestHz, band.lowHz)), x(Math.min(endHz, band.highHz))]
            const mid = (from + to) / 2
            return (
              <g key={band.nominalHz} stroke="var(--text-1)">
                <path d={`M${from} ${y(band.levelDbfs)}H${to}`} strokeWidth={2} />
                <path d={`M${mid} ${y(band.lowDbfs)}V${y(band.highDbfs)}`} strokeWidth={1.4} />
              </g>
            )
          })}
        </svg>
      )}
      <figcaption className="notes">
        Up: dB re full scale. Steps: third octaves, with the 95 % interval of the room’s mean over {noise.segments}{' '}
        half-overlapped seconds. Thin line: what lies within 1 Hz. Ticks: partials 1 to {toldPartials} of every string
        in tune.
      </figcaption>
    </figure>
  )
}

/** [share of the width, dB within 1 Hz]: of all bins that fall on a pixel the loudest, so that no thin tone is lost. */
function narrowBand(
  { fineSpectrum }: NoiseFigures,
  widthPx: number,
  hzAt: (share: number) => number,
): [number, number][] {
  const { density, binHz } = fineSpectrum
  const points: [number, number][] = []
  const steps = widthPx - leftPx - rightPx
  for (let step = 0; step < steps; step++) {
    const from = Math.floor(hzAt(step / steps) / binHz)
    const to = Math.max(from + 1, Math.floor(hzAt((step + 1) / steps) / binHz))
    let most = 0
    for (let bin = from; bin < to && bin < density.length; bin++) most = Math.max(most, density[bin])
    if (most > 0) points.push([step / steps, dbFromPowerRatio(most)])
  }
  return points
}
