/**
 * The instrument's other strings, which nobody damped: they ring along with the plucked string (sympathetic) and with the
 * stage (driven).
 *
 * A string shaken at its end answers at all its partials with equal strength (the poles of its end impedance
 * -i Z cot(w L / c) have equal residues), so a string is a bank of equally strong resonators at its partials,
 *   y[n] = 2 r cos(w) y[n-1] - r^2 y[n-2] + sin(w) x[n],
 * each at unit impulse response. A driven partial answers at the music's pitch, takes T60 / 6.91 to grow to 1 - 1/e, and when
 * the music stops rings at its own pitch with the same time constant. The level is set from outside, in dB re what drives it.
 *
 * Not in it: what the neighbours take from the plucked string, bridge modes between the strings, the second polarisation.
 */

import type { Field, Values } from '../fields.ts'
import { cos, exp, sin } from '../maths/portable.ts'
import { randomStream } from '../maths/random.ts'
import { amplitudeRatioFromDb, hzFromCents } from '../maths/units.ts'
import { meanSquare, type Span } from './level.ts'
import { decayRates, partialHz } from './stringlaw.ts'

export const neighbourStringFields = {
  firstPartialHz: { default: 110, min: 15, max: 5000, unit: 'Hz', help: 'First partial of the string.' },
  stiffness: { default: 0, min: 0, max: 0.01, unit: 'ratio', help: 'B of the stiff-string law.' },
  // 5 s is the median of recorded steel-string notes.
  decayS: { default: 5, min: 0.1, max: 60, unit: 's', help: 'Time in which its partial 1 falls by 60 dB.' },
  highDecayRatio: {
    default: 0.5,
    min: 0.05,
    max: 2,
    unit: 'ratio',
    help: 'Decay time of its partials 4 to 7 over that of partial 1.',
  },
} as const satisfies Record<string, Field>

export type NeighbourString = Values<typeof neighbourStringFields>

export const neighbourFields = {
  sympatheticDb: {
    default: Number.NEGATIVE_INFINITY,
    min: -60,
    max: 0,
    unit: 'dB',
    help: 'Ringing driven by the plucked string, re that string over its first second; absent: none.',
  },
  drivenDb: {
    default: Number.NEGATIVE_INFINITY,
    min: -60,
    max: 40,
    unit: 'dB',
    help: 'Ringing driven by the stage, re the noise that drives it over the same second; absent: none.',
  },
  detuneCents: { default: 0, min: 0, max: 50, unit: 'c', help: 'Each string is up to this far off, either way.' },
} as const satisfies Record<string, Field>

export interface Neighbours extends Values<typeof neighbourFields> {
  readonly strings: readonly NeighbourString[]
  /** A hand or a felt lies on them: nothing rings. */
  readonly damped: boolean
}

/** Open strings of a six-string guitar in standard tuning, for who names no others; decays and stiffness are assumptions. */
export const standardNeighbours: readonly NeighbourString[] = [82.407, 110, 146.832, 195.998, 246.942, 329.628].map(
  (firstPartialHz) => ({ firstPartialHz, stiffness: 5e-5, decayS: 5, highDecayRatio: 0.5 }),
)

/** Partials of a string that ring: beyond them stage and string have little left, and each costs time. */
const ringingPartials = 12
/** Nor above 5 kHz, for the same reason, nor above what is made of a pluck. */
const highestRingingHz = 5000
const highestShare = 0.45

/** The strings as they stand today, each a little off. The same for both sides of a scene. */
export function detuned(neighbours: Neighbours, seed: number): NeighbourString[] {
  const { strings, detuneCents } = neighbours
  return strings.map((string, index) => {
    if (detuneCents === 0) return string
    const cents = detuneCents * (2 * randomStream(seed, 'neighbour', index).uniform() - 1)
    return { ...string, firstPartialHz: hzFromCents(cents, string.firstPartialHz) }
  })
}

interface Resonator {
  readonly forward: number
  readonly back: number
  readonly input: number
}

function resonators(strings: readonly NeighbourString[], sampleRateHz: number): Resonator[] {
  const highestHz = Math.min(highestRingingHz, highestShare * sampleRateHz)
  return strings.flatMap((string) => {
    const rate = decayRates(string)
    const found: Resonator[] = []
    for (let k = 1; k <= ringingPartials && partialHz(k, string) <= highestHz; k++) {
      const angle = (2 * Math.PI * partialHz(k, string)) / sampleRateHz
      const r = exp(-rate(k) / sampleRateHz)
      found.push({ forward: 2 * r * cos(angle), back: r * r, input: sin(angle) })
    }
    return found
  })
}

/**
 * What the strings make of `drive`, unscaled: a new array of the same length.
 * @param warmUpSamples that much of the drive's end is heard beforehand (over and over where the drive is shorter), so that
 *   the strings ring from the first sample on; 0: they start at rest.
 */
export function ringing(
  drive: Float64Array,
  strings: readonly NeighbourString[],
  sampleRateHz: number,
  warmUpSamples = 0,
): Float64Array {
  const lead = drive.length === 0 ? 0 : warmUpSamples
  // Two samples a turn: an odd one out is silent.
  const input = new Float64Array(2 * Math.ceil((lead + drive.length) / 2))
  input.set(drive, lead)
  for (let i = lead - 1; i >= 0; i--) input[i] = input[i + drive.length]
  const output = new Float64Array(input.length)
  const bank = resonators(strings, sampleRateHz)
  // Silent resonators fill the last pass.
  while (bank.length % lanes !== 0) bank.push({ forward: 0, back: 0, input: 0 })
  const state = new Float64Array(2 * bank.length)
  for (let from = 0; from < input.length; from += blockSamples) {
    const to = Math.min(input.length, from + blockSamples)
    for (let k = 0; k < bank.length; k += lanes) ringFour(input, output, from, to, bank, k, state)
  }
  return output.subarray(lead, lead + drive.length)
}

/** Resonators a pass, and samples a block that stay in the first-level cache while all pass over them. */
const lanes = 4
const blockSamples = 2048

function ringFour(
  input: Float64Array,
  output: Float64Array,
  from: number,
  to: number,
  bank: readonly Resonator[],
  k: number,
  state: Float64Array,
): void {
  const { forward: forward0, back: back0, input: input0 } = bank[k]
  const { forward: forward1, back: back1, input: input1 } = bank[k + 1]
  const { forward: forward2, back: back2, input: input2 } = bank[k + 2]
  const { forward: forward3, back: back3, input: input3 } = bank[k + 3]
  let now0 = state[2 * k]
  let before0 = state[2 * k + 1]
  let now1 = state[2 * k + 2]
  let before1 = state[2 * k + 3]
  let now2 = state[2 * k + 4]
  let before2 = state[2 * k + 5]
  let now3 = state[2 * k + 6]
  let before3 = state[2 * k + 7]
  // Two samples a turn, so that the two values of a partial change places without being moved; what a value waits for longest,
  // the one before it, comes last into the sum.
  for (let i = from; i < to; i += 2) {
    const x = input[i]
    before0 = forward0 * now0 + (input0 * x - back0 * before0)
    before1 = forward1 * now1 + (input1 * x - back1 * before1)
    before2 = forward2 * now2 + (input2 * x - back2 * before2)
    before3 = forward3 * now3 + (input3 * x - back3 * before3)
    output[i] += before0 + before1 + (before2 + before3)
    const next = input[i + 1]
    now0 = forward0 * before0 + (input0 * next - back0 * now0)
    now1 = forward1 * before1 + (input1 * next - back1 * now1)
    now2 = forward2 * before2 + (input2 * next - back2 * now2)
    now3 = forward3 * before3 + (input3 * next - back3 * now3)
    output[i + 1] += now0 + now1 + (now2 + now3)
  }
  state[2 * k] = now0
  state[2 * k + 1] = before0
  state[2 * k + 2] = now1
  state[2 * k + 3] = before1
  state[2 * k + 4] = now2
  state[2 * k + 5] = before2
  state[2 * k + 6] = now3
  state[2 * k + 7] = before3
}

/** The stage has played before the take began. Longer would be truer for strings that ring long, and costs time. */
const warmUpS = 1

/** The plucked string's neighbours, to be added to the string side: null where nothing rings. */
export function sympatheticRinging(
  clean: Float64Array,
  neighbours: Neighbours | undefined,
  setting: RingingSetting,
): Float64Array | null {
  const levelDb = neighbours?.sympatheticDb ?? Number.NEGATIVE_INFINITY
  return ringingAt(clean, neighbours, levelDb, 0, setting)
}

export const isDriven = (neighbours: Neighbours | undefined): boolean =>
  neighbours !== undefined && !neighbours.damped && neighbours.drivenDb > Number.NEGATIVE_INFINITY

/** What the stage makes ring, to be added to the noise that drives it: null where nothing rings. */
export function drivenRinging(
  noise: Float64Array,
  neighbours: Neighbours | undefined,
  setting: RingingSetting,
): Float64Array | null {
  const levelDb = neighbours?.drivenDb ?? Number.NEGATIVE_INFINITY
  return ringingAt(noise, neighbours, levelDb, Math.round(warmUpS * setting.sampleRateHz), setting)
}

export interface RingingSetting {
  readonly sampleRateHz: number
  /** Of the string side: the strings are as much off for both sides. */
  readonly stringSeed: number
  /** Over which levels are set. */
  readonly span: Span
}

function ringingAt(
  drive: Float64Array,
  neighbours: Neighbours | undefined,
  levelDb: number,
  warmUpSamples: number,
  { sampleRateHz, stringSeed, span }: RingingSetting,
): Float64Array | null {
  if (neighbours === undefined || neighbours.damped || levelDb === Number.NEGATIVE_INFINITY) return null
  const samples = ringing(drive, detuned(neighbours, stringSeed), sampleRateHz, warmUpSamples)
  const power = meanSquare(samples, span)
  if (!(power > 0)) return null
  const gain = Math.sqrt(meanSquare(drive, span) / power) * amplitudeRatioFromDb(levelDb)
  for (let i = 0; i < samples.length; i++) samples[i] *= gain
  return samples
}
