/**
 * How far a pluck glided, from the pluck itself: the pitch that short windows after the onset show, over where it settles.
 *
 * Every reading is settled pitch plus glide times what is left of it on the mean of the reading's window; both are fitted by
 * weighted least squares. Windows overlap, so their errors are not independent: the spread is that of as many as fit side by
 * side, and no less than the readings' own scatter about the fit. Single partials that stand off the law and fade move a
 * reading by some tenths of a cent, noise or not.
 */
import type { Spectrum } from '../maths/spectrum.ts'
import { centsBetween } from '../maths/units.ts'
import { listen } from '../methods/listen.ts'
import { partialFit } from '../methods/partial-fit.ts'

export interface ToldGlide {
  /** Of this pluck, at the onset. May be negative: noise moves it. */
  readonly cents: number
  /** Standard deviation. */
  readonly spreadCents: number
}

/** Time constant with which a glide dies away: that of every kind of string (scene/kinds.ts), an assumption. */
const glideS = 0.15
/** Shorter windows show more of the glide, but are off by more in noise; six periods are what the method is fine with. */
const [shortestS, periods] = [0.085, 6]
/** Windows begin a quarter of a window apart. */
const overlap = 4
/** The knock of the pluck is over. */
const attackS = 0.005
/** Seven time constants on, a thousandth is left; later readings only tell how partials fade. */
const heardS = 1.05
/** Two unknowns, and some to see their scatter by. */
const fewestReadings = 6
/** What fading partials do to a reading: a quarter of the usual scatter of partials about a law, 1.2 c (scene/kinds.ts). Own choice. */
const leastErrorCents = 0.3

/** null: too short a take, or too few readings. `onset`: in samples. */
export function toldGlide(
  samples: Float32Array,
  sampleRateHz: number,
  onset: number,
  f1Hz: number,
  room: Spectrum | null,
): ToldGlide | null {
  const window = windowOf(sampleRateHz, f1Hz)
  const heard = samples.subarray(Math.round(onset), Math.round(onset + heardS * sampleRateHz))
  const stream = { sampleRateHz, lowestHz: 20, highestHz: 2000, targetHz: f1Hz, room }
  const hop = Math.max(partialFit.fields.hop.min, Math.floor(window / overlap))
  const readings = listen(partialFit, heard, stream, { window, hop }).filter(
    ({ f0Hz, fromSample }) => !Number.isNaN(f0Hz) && fromSample >= attackS * sampleRateHz,
  )
  if (readings.length < fewestReadings) return null
  const time = glideS * sampleRateHz
  const points = readings.map(({ f0Hz, fromSample, toSample, spreadCents }) => {
    const length = toSample - fromSample
    const left = (time / length) * (Math.exp(-fromSample / time) - Math.exp(-toSample / time))
    return { left, cents: centsBetween(f0Hz, f1Hz), weight: 1 / (leastErrorCents ** 2 + spreadCents ** 2) }
  })
  const total = (of: (point: (typeof points)[number]) => number): number =>
    points.reduce((sum, point) => sum + point.weight * of(point), 0)
  const all = total(() => 1)
  const meanLeft = total(({ left }) => left) / all
  const meanCents = total(({ cents }) => cents) / all
  const square = total(({ left }) => (left - meanLeft) ** 2)
  if (!(square > 0)) return null
  const cents = total((point) => (point.left - meanLeft) * point.cents) / square
  const scatter =
    total((point) => (point.cents - meanCents - cents * (point.left - meanLeft)) ** 2) / (points.length - 2)
  return { cents, spreadCents: Math.sqrt((overlap * Math.max(1, scatter)) / square) }
}

function windowOf(sampleRateHz: number, f1Hz: number): number {
  const { min, max } = partialFit.fields.window
  return Math.max(min, Math.min(max, Math.round(sampleRateHz * Math.max(shortestS, periods / f1Hz))))
}
