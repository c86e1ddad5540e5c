/**
 * Pink noise: equal power per octave, -3.01 dB/octave of density.
 *
 * White noise through one pole and one zero an octave, half an octave apart, each at a fixed share of the sample rate; three
 * more pairs below half the rate bend the top straight (own least-squares fit). Within 0.06 dB of the line from 20 Hz to
 * 0.49 of the rate, flat below about 5 Hz so that the level is not ruled by what nobody hears. Run as a sum of one-pole
 * filters (partial fractions), which can be worked side by side.
 */

import { exp } from '../../maths/portable.ts'
import type { Random } from '../../maths/random.ts'
import { noise } from './noise.ts'

// Fit over 1e-4 ... 0.49 of the rate, largest error 0.054 dB, together with the octave pairs from rate / 32 down.
const topPoles = [0.66174201, -0.53771682, 0.25944323]
const topZeros = [0.00954209, -0.57640474, 0.50055795]
/** Pole of the highest octave pair, as a share of the sample rate. */
const highestPole = 1 / 32
/** No pole lies lower: leaving out those below bends the line by at most 0.12 dB at 20 Hz. */
const lowestPoleHz = 3.5
/** Before the first sample: 10 time constants of the slowest pole, after which its start is forgotten by e^-10. */
const warmUpConstants = 10

export interface PinkFilter {
  readonly poles: readonly number[]
  readonly zeros: readonly number[]
}

/** Poles and zeros in the z plane. */
export function pinkFilter(sampleRateHz: number): PinkFilter {
  const poles = [...topPoles]
  const zeros = [...topZeros]
  for (let share = highestPole; share * sampleRateHz >= lowestPoleHz; share /= 2) {
    poles.push(exp(-2 * Math.PI * share))
    zeros.push(exp(-2 * Math.PI * share * Math.SQRT2))
  }
  return { poles, zeros }
}

/** Overwrites `target` with pink noise; its level differs a little from rate to rate. */
export function fillPink(target: Float64Array, sampleRateHz: number, random: Random): void {
  const filter = pinkFilter(sampleRateHz)
  const slowest = Math.max(...filter.poles)
  const warmUp = Math.ceil(warmUpConstants / (1 - slowest))
  const input = new Float64Array(warmUp + target.length)
  random.fillGaussian(input)
  const { direct, weights } = partialFractions(filter)
  const output = new Float64Array(input.length)
  for (let i = 0; i < input.length; i++) output[i] = direct * input[i]
  // Resting filters fill the last pass.
  const poles = [...filter.poles, 0, 0, 0]
  const gains = [...weights, 0, 0, 0]
  for (let k = 0; k < filter.poles.length; k += 4) addFourFilters(input, output, k, poles, gains)
  target.set(output.subarray(warmUp))
}

/** H = direct + sum of weight_i / (1 - pole_i z^-1). */
function partialFractions({ poles, zeros }: PinkFilter): { direct: number; weights: number[] } {
  const direct = poles.reduce((product, pole, i) => (product * zeros[i]) / pole, 1)
  const weights = poles.map((pole, i) =>
    poles.reduce((product, other, j) => (product * (1 - zeros[j] / pole)) / (j === i ? 1 : 1 - other / pole), 1),
  )
  return { direct, weights }
}

function addFourFilters(
  input: Float64Array,
  output: Float64Array,
  k: number,
  poles: readonly number[],
  gains: readonly number[],
): void {
  const pole0 = poles[k]
  const pole1 = poles[k + 1]
  const pole2 = poles[k + 2]
  const pole3 = poles[k + 3]
  const gain0 = gains[k]
  const gain1 = gains[k + 1]
  const gain2 = gains[k + 2]
  const gain3 = gains[k + 3]
  let state0 = 0
  let state1 = 0
  let state2 = 0
  let state3 = 0
  for (let i = 0; i < input.length; i++) {
    const x = input[i]
    state0 = pole0 * state0 + x
    state1 = pole1 * state1 + x
    state2 = pole2 * state2 + x
    state3 = pole3 * state3 + x
    output[i] += gain0 * state0 + gain1 * state1 + (gain2 * state2 + gain3 * state3)
  }
}

export const pink = noise({
  id: 'pink',
  title: 'Pink noise, equal power per octave',
  source: 'Gaussian, -3.01 dB/octave by definition; filter fitted here',
  fields: {},
  fill: (target, { sampleRateHz, random }) => fillPink(target, sampleRateHz, random),
})
