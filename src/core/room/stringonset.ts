/**
 * Where, in a take of one pluck, the string is plucked: of all onsets that the quickest-detection test finds (methods/onset.ts)
 * the one after which most is gained at the string's partials. Where the test finds none, a pluck lost in the room, the
 * greatest rise of the partials over a fifth of a second is taken, if it is one. A take that begins in the middle of a note has
 * none.
 */
import type { Spectrum } from '../maths/spectrum.ts'
import { OnsetFinder } from '../methods/onset.ts'
import { partialHz, type StringLaw } from '../methods/stringlaw.ts'
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

const frameS = 0.05
const sideS = 0.2
/** Partials are followed up to here: a low string's first six. */
const risingPartials = 6
/** Power over the room, of all partials together, after over before: 6 dB. Plucks at 0 dB rise by 10 and more. */
const leastRise = 4

/** Sample index, good to a frame, where the partials of `law` rise most; null: they do not. */
export function risenOnset(samples: Float32Array, sampleRateHz: number, law: StringLaw, room: Spectrum): number | null {
  const length = Math.round(frameS * sampleRateHz)
  const hop = length >> 1
  const count = Math.floor((samples.length - length) / hop) + 1
  const side = Math.round((sideS * sampleRateHz) / hop)
  if (count < 2 * side + 1) return null
  const over = new Float64Array(count)
  for (let k = 1; k <= risingPartials; k++) {
    const hz = partialHz(law, k)
    if (hz > 0.4 * sampleRateHz) break
    const noise = powerBetween(room.density, room.binHz, hz - 1 / frameS, hz + 1 / frameS)
    if (noise > 0) addPartial(over, samples, length, hop, (2 * Math.PI * hz) / sampleRateHz, 1 / noise)
  }
  let [best, at] = [0, 0]
  for (let i = side; i + side <= count; i++) {
    let [before, after] = [0, 0]
    for (let j = 1; j <= side; j++) {
      before += over[i - j]
      after += over[i + j - 1]
    }
    if (after / before > best) {
      best = after / before
      at = i
    }
  }
  return best < leastRise ? null : at * hop
}

/** Adds the power, frame by frame, of what sounds at `turn` radians a sample, `weight` times. */
function addPartial(
  over: Float64Array,
  samples: Float32Array,
  length: number,
  hop: number,
  turn: number,
  weight: number,
): void {
  const cosines = new Float64Array(length)
  const sines = new Float64Array(length)
  for (let i = 0; i < length; i++) {
    const bell = (1 - Math.cos((2 * Math.PI * (i + 0.5)) / length)) / length
    cosines[i] = bell * Math.cos(turn * i)
    sines[i] = bell * Math.sin(turn * i)
  }
  for (let n = 0; n < over.length; n++) {
    let [re, im] = [0, 0]
    for (let i = 0, from = n * hop; i < length; i++) {
      re += samples[from + i] * cosines[i]
      im += samples[from + i] * sines[i]
    }
    over[n] += 2 * weight * (re * re + im * im)
  }
}
