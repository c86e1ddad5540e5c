/**
 * Loudness that comes and goes, as of a number of sources that do so by themselves.
 *
 * Each source's power is the square of low-passed Gaussian noise, about `perS` hertz wide; n of them together swing by
 * sqrt(2 / n) of their power.
 */
import { exp } from '../../maths/portable.ts'
import type { Random } from '../../maths/random.ts'

/** Loudness is drawn this often a swing and joined by straight lines. */
const drawsPerSwing = 32
/** Draws before the first sample, until the filters have forgotten their start. */
const warmUpDraws = 256

/** Multiplies `target` by the envelope of so many sources, mean square 1. */
export function swell(target: Float64Array, sampleRateHz: number, sources: number, perS: number, random: Random): void {
  const stepSamples = sampleRateHz / (drawsPerSwing * perS)
  // Two one-pole low-passes in a row at the rate of swings.
  const keep = exp((-2 * Math.PI) / drawsPerSwing)
  const give = 1 - keep
  const lost = 1 - keep * keep
  // Two equal one-poles pass give^4 (1 + keep^2) / (1 - keep^2)^3 of the power of white noise.
  const gain = Math.sqrt((lost * lost * lost) / (1 + keep * keep)) / (give * give)
  const once = new Float64Array(sources)
  const twice = new Float64Array(sources)
  const draw = (): number => {
    let power = 0
    for (let j = 0; j < sources; j++) {
      once[j] = keep * once[j] + give * random.gaussian()
      twice[j] = keep * twice[j] + give * once[j]
      power += twice[j] * twice[j]
    }
    return (gain * gain * power) / sources
  }
  for (let i = 0; i < warmUpDraws; i++) draw()
  let before = draw()
  let after = draw()
  let drawn = 1
  for (let i = 0; i < target.length; i++) {
    const place = i / stepSamples
    while (place >= drawn) {
      before = after
      after = draw()
      drawn++
    }
    target[i] *= Math.sqrt(before + (place - drawn + 1) * (after - before))
  }
}
