/**
 * People who whistle through their fingers: loud, nearly pure tones that slide.
 *
 * Each whistler blows, rests and blows again; every blow slides from one drawn pitch to another between `lowHz` and `highHz`
 * (even on a logarithmic scale), rises and falls in 40 ms, and has a little breath. Pitches and lengths are assumptions.
 */
import { cos, exp, ln, sin } from '../../maths/portable.ts'
import type { Random } from '../../maths/random.ts'
import { amplitudeRatioFromDb } from '../../maths/units.ts'
import { noise } from './noise.ts'

/** Shortest and longest, s. */
const blowS = [0.25, 0.9] as const
const restS = [0.1, 0.7] as const
const edgeS = 0.04
/** The pitch moves in steps this long: 0.7 ms at 48 kHz. */
const stepSamples = 32
/** White noise re a steady tone of full level, mean squares. */
const breathDb = -30

export const whistles = noise({
  id: 'whistles',
  title: 'People whistling through their fingers',
  source: 'Assumption',
  fields: {
    whistlers: { default: 3, min: 1, max: 16, unit: 'count', whole: true, help: 'How many people whistle.' },
    lowHz: { default: 1000, min: 500, max: 2000, unit: 'Hz', help: 'Lowest pitch (assumption).' },
    highHz: { default: 3200, min: 1500, max: 3500, unit: 'Hz', help: 'Highest pitch (assumption).' },
  },
  fill(target, { sampleRateHz, random, values }) {
    random.fork('breath').fillGaussian(target)
    const breath = amplitudeRatioFromDb(breathDb) / Math.sqrt(2)
    for (let i = 0; i < target.length; i++) target[i] *= breath
    const low = ln(values.lowHz)
    const range = ln(values.highHz) - low
    for (let person = 0; person < values.whistlers; person++) {
      const draws = random.fork('person', person)
      // So much of the first blow or rest is over when the take begins.
      let n = -draws.uniform() * (blowS[1] + restS[1]) * sampleRateHz
      while (n < target.length) {
        const length = between(blowS, draws) * sampleRateHz
        const pitches = [low + range * draws.uniform(), low + range * draws.uniform()] as const
        const phase = 2 * Math.PI * draws.uniform()
        addBlow(target, n, length, pitches, phase, sampleRateHz)
        n += length + between(restS, draws) * sampleRateHz
      }
    }
  },
})

const between = ([least, most]: readonly [number, number], random: Random): number =>
  least + (most - least) * random.uniform()

function addBlow(
  target: Float64Array,
  onset: number,
  length: number,
  [from, to]: readonly [number, number],
  phase: number,
  sampleRateHz: number,
): void {
  const edge = edgeS * sampleRateHz
  let re = cos(phase)
  let im = sin(phase)
  const end = Math.min(target.length, Math.floor(onset + length))
  for (let start = Math.ceil(onset); start < end; start += stepSamples) {
    const hz = exp(from + ((to - from) * (start - onset)) / length)
    const angle = (2 * Math.PI * hz) / sampleRateHz
    const c = cos(angle)
    const s = sin(angle)
    for (let i = start; i < Math.min(end, start + stepSamples); i++) {
      if (i >= 0) {
        const risen = Math.max(0, Math.min(1, (i - onset) / edge, (onset + length - i) / edge))
        target[i] += risen * risen * (3 - 2 * risen) * im
      }
      const turned = c * re - s * im
      im = s * re + c * im
      re = turned
    }
  }
}
