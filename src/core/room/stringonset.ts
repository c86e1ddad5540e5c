/**
 * Where, in a take of one pluck, the string is plucked: of all onsets that the quickest-detection test finds (methods/onset.ts)
 * the one after which most is gained at the string's partials. A take that begins in the middle of a note has none.
 */
import type { Spectrum } from '../maths/spectrum.ts'
import { OnsetFinder } from '../methods/onset.ts'
import { powerBetween, SegmentDensity } from './bandpower.ts'
import { type RoomString, stringPartialHz, toldPartials } from './roomstring.ts'

/** Looked at to either side of an onset: longer than a low string's period by far, shorter than most notes. */
const lookS = 0.25
/** A pick's noise is over. */
const attackS = 0.02
/** Strings are looked for this far from their target. */
const aboutCents = 150

/** Sample index; null: no onset. */
export function stringOnset(
  samples: Float32Array,
  sampleRateHz: number,
  string: RoomString,
  room: Spectrum,
): number | null {
  const finder = new OnsetFinder({ sampleRateHz, targetHz: string.targetHz, room })
  const onsets: { sample: number; withdrawn: boolean }[] = []
  for (const sample of samples) {
    const told = finder.push(Number.isFinite(sample) ? sample : 0)
    if (told) onsets.push({ sample: finder.onsetSample, withdrawn: false })
    const newest = onsets.at(-1)
    if (newest !== undefined) newest.withdrawn = finder.standing === 'withdrawn'
  }
  const standing = onsets.filter(({ withdrawn }) => !withdrawn)
  if (standing.length < 2) return standing[0]?.sample ?? null
  const length = Math.round(lookS * sampleRateHz)
  const segment = new SegmentDensity(length, sampleRateHz)
  const density = new Float64Array(segment.bins)
  const powerFrom = (from: number): number => {
    segment.of(samples, Math.max(0, Math.round(from)), density)
    let sum = 0
    for (let k = 1; k <= toldPartials; k++) {
      const hz = stringPartialHz(string, k)
      const edge = Math.min(2 ** (aboutCents / 1200), 1 + 0.5 / k)
      sum += powerBetween(density, segment.binHz, hz / edge, hz * edge)
    }
    return sum
  }
  const gains = standing.map(
    ({ sample }) => powerFrom(sample + attackS * sampleRateHz) - powerFrom(sample - attackS * sampleRateHz - length),
  )
  return standing[gains.indexOf(Math.max(...gains))]?.sample ?? null
}
