/**
 * How a take's power lies over time and frequency, as grey levels: Hann-windowed transforms, one a column.
 *
 * The window holds six periods of the string's first partial, so that neighbouring partials (one partial apart) stand clear
 * of each other's main lobe, four bins wide. A column stands at the middle of its window. Levels are decibels between the
 * take's own floor (its median) and its strongest point.
 */
import { RealFourier } from '../../core/maths/fourier.ts'
import { quantile } from '../../core/maths/statistics.ts'
import { hann } from '../../core/maths/windows.ts'

export interface Spectrogram {
  readonly columns: number
  readonly rows: number
  /** Column by column, lowest frequency first; 0: at the floor or below, 255: strongest. */
  readonly levels: Uint8Array<ArrayBuffer>
  /** From the start of the take to the edges of the first and last column, s. */
  readonly fromS: number
  readonly toS: number
  readonly topHz: number
}

const periods = 6
/** Shorter windows blur even high strings into one band; longer ones blur the attack. */
const shortestWindow = 2048
const longestWindow = 16384
/** Zeros behind the frame draw the peaks smoothly. */
const padding = 2
/** A picture is seldom wider, and more columns cost time. */
const mostColumns = 640
/** What is further down than this from the strongest point is black. */
const deepestDb = 66
const shallowestDb = 24

export function spectrogramOf(
  samples: Float32Array,
  sampleRateHz: number,
  span: { readonly fromS: number; readonly toS: number },
  firstPartialHz: number,
  topHz: number,
): Spectrogram {
  let size = shortestWindow
  while (size < longestWindow && size < (periods * sampleRateHz) / firstPartialHz) size *= 2
  const window = hann(size)
  const fourier = new RealFourier(size * padding)
  const frame = new Float64Array(size)
  const power = new Float64Array((size * padding) / 2 + 1)
  const binHz = sampleRateHz / (size * padding)
  const rows = Math.min(power.length, Math.floor(topHz / binHz) + 1)
  const hop = Math.max(64, Math.ceil(((span.toS - span.fromS) * sampleRateHz) / mostColumns))
  const columns = Math.max(1, Math.floor(((span.toS - span.fromS) * sampleRateHz) / hop))
  const decibels = new Float32Array(columns * rows)
  for (let column = 0; column < columns; column++) {
    const middle = span.fromS * sampleRateHz + (column + 0.5) * hop
    // At its ends the take would seem to break off, which spreads over all frequencies: the last whole window stays.
    const start = Math.max(0, Math.min(Math.round(middle - size / 2), samples.length - size))
    for (let i = 0; i < size; i++) frame[i] = window[i] * (samples[start + i] ?? 0)
    fourier.power(frame, power)
    for (let row = 0; row < rows; row++) decibels[column * rows + row] = 10 * Math.log10(power[row] + 1e-30)
  }
  return { columns, rows, levels: levelsOf(decibels), ...span, topHz: (rows - 1) * binHz }
}

function levelsOf(decibels: Float32Array): Uint8Array<ArrayBuffer> {
  // The strongest thousandth is white; ranking a tenth of the values is enough for both ends.
  const some = Array.from(decibels.filter((_, i) => i % 10 === 0))
  const top = quantile(some, 0.999)
  const floor = Math.min(top - shallowestDb, Math.max(top - deepestDb, quantile(some, 0.5)))
  return Uint8Array.from(decibels, (value) => Math.min(255, Math.max(0, (255 * (value - floor)) / (top - floor))))
}
