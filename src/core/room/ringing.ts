/**
 * Other strings of the instrument that sound before the pluck or beside it.
 *
 * Each string is looked for at those of its first partials that lie clear of the plucked string's and of the room's steady
 * tones: log(1 + power over the loudest that the room's noise take was in any second), summed over partials, at the best
 * pitch within 60 c. Three partials must stand out. A sympathetic string that sounds only at the plucked string's own
 * frequencies is part of that sound and is not told apart.
 */
import { centsBetween, dbFromPowerRatio, hzFromCents } from '../maths/units.ts'
import type { StringLaw } from '../methods/stringlaw.ts'
import { partialHz } from '../methods/stringlaw.ts'
import { powerBetween, powerOfSpan, SegmentDensity } from './bandpower.ts'
import type { NoiseFigures } from './noisetake.ts'
import type { RoomString } from './roomstring.ts'

export interface RingingString {
  /** Id of the other string. */
  readonly string: string
  readonly when: 'before' | 'while'
  /** Of the partials that are its own alone, over all of the plucked string in the same second. */
  readonly overStringDb: number
  /** Off its target. */
  readonly cents: number
}

/** Strings of an instrument that was tuned today lie within it. */
const searchCents = 60
const lookedPartials = 8
const fewestPartials = 3
/** Power over the loudest second of the room: by chance one bin in a few thousand. */
const leastOver = 4
const shortestSpanS = 0.25
/** A Hann window's main lobe, half, and a bin for a string that is broader than a line. */
const clearBins = 4
/** Nepers over all that are looked at. By trial; room.md of tests/bench says how often a room alone passes. */
const leastSum = 7
const mostPartials = 40

export interface RingingSpan {
  readonly when: 'before' | 'while'
  /** Samples. */
  readonly from: number
  readonly to: number
}

/** @param plucked law of the string that sounds in the span; null: none does. `stringPower`: its mean square. */
export function ringingStrings(
  samples: Float32Array,
  sampleRateHz: number,
  { when, from, to }: RingingSpan,
  noise: NoiseFigures,
  others: readonly RoomString[],
  plucked: StringLaw | null,
  stringPower: number,
): RingingString[] {
  const length = Math.min(to - from, sampleRateHz)
  if (length < shortestSpanS * sampleRateHz || powerOfSpan(samples, from, from + length) === 0) return []
  const segment = new SegmentDensity(length, sampleRateHz)
  const density = new Float64Array(segment.bins)
  segment.of(samples, from, density)
  const { binHz } = segment
  const clearHz = (clearBins * sampleRateHz) / length
  const taken: number[] = noise.lines.map(({ hz }) => hz)
  if (plucked !== null) for (let k = 1; k <= mostPartials; k++) taken.push(partialHz(plucked, k))
  const isClear = (hz: number): boolean => taken.every((other) => Math.abs(other - hz) > clearHz)
  const loudest = noise.loudestSpectrum
  const over = (hz: number): number => {
    const bin = Math.round(hz / binHz)
    const room = loudest.density[Math.min(loudest.density.length - 1, Math.round(hz / loudest.binHz))]
    return density[bin] / room
  }
  return others.flatMap((string): RingingString[] => {
    // A quarter of a resolved bin at the highest partial.
    const stepCents = centsBetween(1 + sampleRateHz / (4 * length * lookedPartials * string.targetHz), 1)
    let best = { sum: 0, cents: 0, standing: [] as number[] }
    for (let cents = -searchCents; cents <= searchCents; cents += stepCents) {
      const law = { f1Hz: hzFromCents(cents, string.targetHz), stiffness: string.stiffness }
      const standing: number[] = []
      let sum = 0
      for (let k = 1; k <= lookedPartials; k++) {
        const hz = partialHz(law, k)
        if (hz > 0.45 * sampleRateHz || !isClear(hz)) continue
        const ratio = over(hz)
        sum += Math.log(1 + ratio)
        if (ratio > leastOver) standing.push(hz)
      }
      if (sum > best.sum) best = { sum, cents, standing }
    }
    if (best.standing.length < fewestPartials || best.sum < leastSum) return []
    const reach = (2 * sampleRateHz) / length
    const power = best.standing.reduce((sum, hz) => sum + powerBetween(density, binHz, hz - reach, hz + reach), 0)
    return [{ string: string.id, when, overStringDb: dbFromPowerRatio(power / stringPower), cents: best.cents }]
  })
}
