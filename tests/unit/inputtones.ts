/** Recordings for the checks of an input: a room, then a steady tone in it, through a processing that the test chooses. */
import { randomStream } from '../../src/core/maths/random.ts'

export interface ToneWish {
  readonly rateHz?: number
  readonly seed: number
  readonly hz?: number
  /** Peak amplitude. */
  readonly amplitude?: number
  /** White, over the whole band: root mean square. */
  readonly noiseRms?: number
  readonly beginsS?: number
  /** Infinity: it goes on. */
  readonly endsS?: number
  readonly durationS?: number
  /** Gain of what reaches the page (tone and room), by the time. */
  readonly gain?: (atS: number) => number
  /** Added cycles of the source itself. */
  readonly wanderCycles?: (atS: number) => number
}

export const roomS = 3
export const wholeS = 18

export function toneInRoom(wish: ToneWish): Float32Array {
  const { rateHz = 8000, seed, hz = 440, amplitude = 0.1, noiseRms = 0.01 } = wish
  const { beginsS = roomS, endsS = Number.POSITIVE_INFINITY, durationS = wholeS } = wish
  const { gain = () => 1, wanderCycles = () => 0 } = wish
  const random = randomStream(seed, 'room')
  const phase = randomStream(seed, 'phase').uniform()
  return Float32Array.from({ length: Math.round(durationS * rateHz) }, (_, i) => {
    const atS = i / rateHz
    const sounds = atS >= beginsS && atS < endsS
    const tone = sounds ? amplitude * Math.sin(2 * Math.PI * (hz * atS + phase + wanderCycles(atS))) : 0
    return gain(atS) * (tone + noiseRms * random.gaussian())
  })
}
