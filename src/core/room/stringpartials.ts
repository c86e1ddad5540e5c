/**
 * A string over the room partial by partial: power within 50 c of each over the first second, the room's taken out, and how it
 * stands to its neighbours.
 *
 * The room's own power in so narrow a band swings: two degrees of freedom a resolved bin. A partial is told where no more than
 * one second in a hundred of the room alone has as much.
 */
import { centsBetween, dbFromPowerRatio, powerRatioFromDb } from '../maths/units.ts'
import { hann } from '../maths/windows.ts'
import { partialHz, type StringLaw } from '../methods/stringlaw.ts'
import type { MeasuredPartial } from '../study/fitstring.ts'
import { powerBetween, SegmentDensity } from './bandpower.ts'
import { chiSquareOverFreedom } from './chisquare.ts'
import { leastSnrDb } from './measuredlaw.ts'
import type { NoiseFigures } from './noisetake.ts'
import { partialDecayS } from './partialdecay.ts'
import { partialStandings } from './partialstanding.ts'
import { toldPartials } from './roomstring.ts'
import type { StringPartial } from './stringfigures.ts'

/** Ratios are over the first second, as everywhere. */
const ratioS = 1
const bandCents = 50
/** Shares of the first second: short at the start, which is the loudest; what is cut is 2 % of the power. */
const startTaper = 0.03
const endTaper = 0.05
/** One-sided: a room alone reaches it once in a hundred takes. */
const z99 = 2.326
const settledPartials = 6

/** @param onset sample index. `read`: partials whose frequency was measured. */
export function partialsOf(
  samples: Float32Array,
  sampleRateHz: number,
  onset: number,
  law: StringLaw,
  read: readonly MeasuredPartial[],
  noise: NoiseFigures,
): StringPartial[] {
  const length = Math.min(samples.length - Math.round(onset), Math.round(ratioS * sampleRateHz))
  const segment = new SegmentDensity(length, sampleRateHz, tapered(length))
  const density = new Float64Array(segment.bins)
  segment.of(samples, Math.round(onset), density)
  const { fineSpectrum: room } = noise
  const edge = 2 ** (bandCents / 1200)
  // Two more, so that the last that are told have neighbours too.
  const bands = Array.from({ length: toldPartials + 2 }, (_, i) => {
    const hz = partialHz(law, i + 1)
    const [lowHz, highHz] = [hz / edge, hz * edge]
    const noisePower = powerBetween(room.density, room.binHz, lowHz, highHz)
    // Two degrees a resolved bin; of so many the room's own power in a second is known to swing.
    const freedom = 2 * Math.max(1, (highHz - lowHz) * ratioS)
    const most = noisePower * chiSquareOverFreedom(z99, freedom)
    const power = highHz < sampleRateHz / 2 ? powerBetween(density, segment.binHz, lowHz, highHz) : 0
    return { hz, noisePower, limit: most - noisePower, own: power > most ? power - noisePower : null }
  })
  const strongest = bands.reduce((most, { own }) => Math.max(most, own ?? 0), 0)
  const relative = (power: number): number => dbFromPowerRatio(power / strongest)
  const standings = partialStandings(
    bands.map(({ own }) => (own === null ? null : relative(own))),
    bands.map(({ limit }) => relative(limit)),
  )
  return bands.slice(0, toldPartials).map(({ hz, noisePower, own }, i): StringPartial => {
    const measured = read.find(({ k, snrDb }) => k === i + 1 && snrDb >= leastSnrDb)
    const atHz = measured?.frequencyHz ?? hz
    const noiseDensity = noisePower / (hz * (edge - 1 / edge))
    return {
      k: i + 1,
      lawHz: hz,
      frequencyHz: measured?.frequencyHz ?? null,
      deviationCents: measured === undefined ? null : centsBetween(measured.frequencyHz, hz),
      ratioDb: own === null || noisePower === 0 ? null : dbFromPowerRatio(own / noisePower),
      levelDb: own === null ? null : relative(own),
      decayS:
        own === null ? null : partialDecayS(samples, sampleRateHz, onset, { hz: atHz, f1Hz: law.f1Hz, noiseDensity }),
      ...standings[i],
    }
  })
}

/** Flat, with the halves of two Hann windows for ends. */
function tapered(length: number): Float64Array {
  const window = new Float64Array(length).fill(1)
  const [start, end] = [startTaper, endTaper].map((share) => Math.max(1, Math.round(share * length)))
  const rise = hann(2 * start)
  const fall = hann(2 * end)
  for (let i = 0; i < start; i++) window[i] = rise[i]
  for (let i = 0; i < end; i++) window[length - end + i] = fall[end + i]
  return window
}

/** As the truth of a scene is: how far the first six partials lie off the law, weighted by their power in the first second. */
export function meanDeviationCents(partials: readonly StringPartial[]): number {
  let [power, moment] = [0, 0]
  for (const { levelDb, deviationCents } of partials.slice(0, settledPartials)) {
    if (levelDb === null || deviationCents === null) continue
    power += powerRatioFromDb(levelDb)
    moment += powerRatioFromDb(levelDb) * deviationCents
  }
  return power > 0 ? moment / power : 0
}
